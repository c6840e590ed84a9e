/** How far the work is: one line that redraws itself on a terminal, one line for each new step in a pipe. */

export type Progress = Readonly<{
  step: (words: string, fraction: number) => void;
  /** Clears the redrawn line, so that what follows starts clean. */
  end: () => void;
}>;

const BAR = 24;
const REDRAW_MS = 60;

export function showProgress(
  write: (text: string) => void,
  { terminal, columns }: { terminal: boolean; columns: number },
  clock: () => number = () => performance.now(),
): Progress {
  let last = '';
  let drawnAt = Number.NEGATIVE_INFINITY;
  let drawn = false;
  if (!terminal)
    return {
      step: (words) => {
        if (words !== last) write(`${words}\n`);
        last = words;
      },
      end: () => undefined,
    };
  return {
    step: (words, fraction) => {
      const now = clock();
      if (words === last && now - drawnAt < REDRAW_MS) return;
      last = words;
      drawnAt = now;
      drawn = true;
      write(`\r\u001b[2K${line(words, Math.min(1, Math.max(0, fraction)), columns)}`);
    },
    end: () => {
      if (drawn) write('\r\u001b[2K');
      drawn = false;
    },
  };
}

/** Never as long as the terminal is wide: a line that wraps cannot be redrawn. */
function line(words: string, fraction: number, columns: number): string {
  const full = Math.round(BAR * fraction);
  const text = `${'\u2588'.repeat(full)}${'\u2591'.repeat(BAR - full)} ${String(Math.round(100 * fraction)).padStart(3)} %  ${words}`;
  return [...text].slice(0, Math.max(10, columns - 1)).join('');
}
