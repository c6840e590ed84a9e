/** How fast a series goes and how long it still takes, from how many pairs were done when. */
import type { SeriesCounts } from '#lib/record/series/types.ts';
import { duration } from '#lib/series/duration.ts';

export type Pace = Readonly<{
  /** To be told every time that counts are known. */
  look: (counts: SeriesCounts) => Readonly<{ words: string; fraction: number; perMinute: number }>;
}>;

/** The rate is that of the last minutes, so that a slow start or a lost machine does not spoil it for hours. */
const WINDOW_MS = 180_000;

export function makePace(clock: () => number = () => performance.now()): Pace {
  const seen: { at: number; done: number }[] = [];
  return {
    look: ({ waiting, running, measured, notComparable, failed }) => {
      const done = measured + notComparable + failed;
      const all = done + waiting + running;
      const at = clock();
      seen.push({ at, done });
      while (seen.length > 2 && at - seen[1]!.at > WINDOW_MS) seen.shift();
      const first = seen[0]!;
      const perMinute = at > first.at ? (60_000 * (done - first.done)) / (at - first.at) : 0;
      const parts = [
        `${done} of ${all} pairs`,
        ...(perMinute > 0
          ? [`${perMinute.toPrecision(3)} a minute`, ...(all > done ? [`${duration((all - done) / perMinute)} left`] : [])]
          : []),
        ...(notComparable > 0 ? [`${notComparable} not comparable`] : []),
        ...(failed > 0 ? [`${failed} failed`] : []),
      ];
      return { words: parts.join(', '), fraction: all > 0 ? done / all : 1, perMinute };
    },
  };
}
