/**
 * Where the search for a recovery curve begins, and how good a curve can be whose plateau is given: walks over the time constant, of which
 * nothing is assumed. The model and its sources stand in recovery-fit.ts.
 */
import { project, type whitener } from './whitened.ts';

type Whiten = ReturnType<typeof whitener>;

const TAUS = 80;
/** Time constants from a tenth of the first day to a hundred spans, evenly in their logarithm. */
const tauGrid = (first: number, span: number): number[] => {
  const [low, high] = [Math.log(first / 10), Math.log(100 * span)];
  return Array.from({ length: TAUS }, (_, i) => Math.exp(low + ((high - low) * i) / (TAUS - 1)));
};

/**
 * Of all curves the one with the least squares, roughly: given tau the curve is linear in the rest, so a walk over tau finds the neighbourhood of
 * the best one whatever the data. `y` and `ones` are whitened; `first` is the first day, `span` days lie between it and the last.
 */
export function bestTau(
  days: readonly number[],
  whiten: Whiten,
  y: readonly number[],
  ones: readonly number[],
  first: number,
  span: number,
) {
  let best = { tau: span, plateau: 0, start: 0, squares: Number.POSITIVE_INFINITY };
  for (const tau of tauGrid(first, span)) {
    const { coefficients, squares } = project([ones, whiten(days.map((day) => Math.exp(-day / tau)))], y);
    if (squares < best.squares) best = { tau, plateau: coefficients[0]!, start: coefficients[0]! + coefficients[1]!, squares };
  }
  return best;
}

/** The least squares of all curves with this plateau, by the same walk, refined by golden section. */
export function bestAtPlateau(
  plateau: number,
  days: readonly number[],
  whiten: Whiten,
  y: readonly number[],
  first: number,
  span: number,
): number {
  const base = whiten(days.map(() => plateau));
  const left = y.map((value, i) => value - base[i]!);
  const squaresAt = (logTau: number): number => project([whiten(days.map((day) => Math.exp(-day / Math.exp(logTau))))], left).squares;
  const grid = tauGrid(first, span).map(Math.log);
  const found = grid.map(squaresAt);
  const at = found.indexOf(Math.min(...found));
  let [low, high] = [grid[Math.max(0, at - 1)]!, grid[Math.min(TAUS - 1, at + 1)]!];
  const golden = (Math.sqrt(5) - 1) / 2;
  for (let i = 0; i < 40; i++) {
    const [a, b] = [high - golden * (high - low), low + golden * (high - low)];
    if (squaresAt(a) < squaresAt(b)) high = b;
    else low = a;
  }
  return Math.min(found[at]!, squaresAt((low + high) / 2));
}
