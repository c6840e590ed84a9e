/** Lines of text in several faces, broken at spaces to a width; what has no space, such as a hash, is broken where the line ends. */
import type { Run, Words } from './blocks.ts';
import type { Face } from './fonts.ts';

/** A stretch of one line in one face. */
export type Piece = Readonly<{ text: string; face: Face; width: number }>;
/** `width` leaves out the space that ends a line; the space itself stays, so that words do not run together when read aloud. */
export type TextLine = Readonly<{ pieces: readonly Piece[]; width: number }>;
export type Measure = (text: string, face: Face) => number;

export const runsOf = (words: Words): Run[] =>
  typeof words === 'string' ? [{ text: words }] : words.map((run) => (typeof run === 'string' ? { text: run } : run));

export const plainOf = (words: Words): string =>
  runsOf(words)
    .map(({ text }) => text)
    .join('');

export const faceOf = ({ bold, italic, mono }: Run, base: 'regular' | 'bold' = 'regular'): Face => {
  if (mono) return 'mono';
  const heavy = bold || base === 'bold';
  return heavy ? (italic ? 'bold-italic' : 'bold') : italic ? 'italic' : 'regular';
};

/** At least one line, which may be empty. `width` in the unit of `measure`. */
export function wrapRuns(runs: readonly Run[], width: number, measure: Measure, base: 'regular' | 'bold' = 'regular'): TextLine[] {
  const lines: TextLine[] = [];
  let pieces: Piece[] = [];
  let used = 0;
  const close = (): void => {
    lines.push({ pieces, width: used });
    pieces = [];
    used = 0;
  };
  const put = (text: string, face: Face, wide: number): void => {
    const last = pieces.at(-1);
    if (last && last.face === face) pieces[pieces.length - 1] = { text: last.text + text, face, width: last.width + wide };
    else pieces.push({ text, face, width: wide });
    used += wide;
  };

  for (const { gap, parts } of wordsOf(runs, base)) {
    const wide = parts.reduce((sum, { text, face }) => sum + measure(text, face), 0);
    const space = gap && used > 0 ? measure(' ', gap) : 0;
    if (used > 0 && used + space + wide > width) {
      if (gap) endWithSpace(pieces);
      close();
    } else if (space > 0) put(' ', gap!, space);
    for (const { text, face } of parts) {
      let rest = text;
      while (used + measure(rest, face) > width) {
        const fits = fittingPart(rest, face, width - used, measure);
        if (fits === '' && used > 0) {
          close();
          continue;
        }
        const cut = fits || [...rest][0]!;
        put(cut, face, measure(cut, face));
        rest = rest.slice(cut.length);
        if (rest === '') break;
        close();
      }
      if (rest !== '') put(rest, face, measure(rest, face));
    }
  }
  if (pieces.length > 0 || lines.length === 0) close();
  return lines;
}

type Word = { gap: Face | null; parts: { text: string; face: Face }[] };

/** Words may change face within; `gap` is the face of the space before, or null where there was none. */
function wordsOf(runs: readonly Run[], base: 'regular' | 'bold'): Word[] {
  const words: Word[] = [];
  let open: Word | null = null;
  let gap: Face | null = null;
  for (const run of runs) {
    const face = faceOf(run, base);
    for (const token of run.text.split(/( +)/)) {
      if (token === '') continue;
      if (token[0] === ' ') {
        open = null;
        gap = face;
        continue;
      }
      if (!open) {
        open = { gap, parts: [] };
        words.push(open);
        gap = null;
      }
      open.parts.push({ text: token, face });
    }
  }
  return words;
}

function endWithSpace(pieces: Piece[]): void {
  const last = pieces.at(-1);
  if (last) pieces[pieces.length - 1] = { ...last, text: `${last.text} ` };
}

/** The longest beginning that fits. Widths of a beginning grow with its length. */
function fittingPart(text: string, face: Face, room: number, measure: Measure): string {
  const signs = [...text];
  let [low, high] = [0, signs.length];
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (measure(signs.slice(0, middle).join(''), face) <= room) low = middle;
    else high = middle - 1;
  }
  return signs.slice(0, low).join('');
}
