/**
 * Agreement of two raters on grades, beyond chance, near misses counting in part.
 *
 * Model   kappa = (seen - chance) / (1 - chance) with agreement weights 1 for the same grade and less the further apart: linear
 *         1 - |i - j| / (k - 1), quadratic 1 - (i - j)^2 / (k - 1)^2. The standard error is that of large samples; `u0` holds when there is
 *         no agreement beyond chance and gives the test.
 * Source  Cohen, Psychological Bulletin 70(4):213-220, 1968, doi:10.1037/h0026256; errors: Fleiss, Cohen & Everitt, Psychological Bulletin
 *         72(5):323-327, 1969, doi:10.1037/h0028106.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { normalTwoSided } from './normal.ts';
import { sum } from './sum.ts';
import { COVERAGE_95 } from './uncertainty.ts';

export type KappaWeights = 'none' | 'linear' | 'quadratic';
export type Kappa = Readonly<{
  n: number;
  weights: KappaWeights;
  value: number;
  u: number;
  ci95: readonly [number, number];
  u0: number;
  p: number;
  /** Share of subjects that both gave the same grade. */
  same: number;
}>;

/** `table[i][j]`: how many subjects the first rater gave grade i and the second grade j; square, grades in their order. */
export function weightedKappa(table: readonly (readonly number[])[], weights: KappaWeights): Outcome<Kappa, 'too-few' | 'no-spread'> {
  const k = table.length;
  if (k < 2 || table.some((row) => row.length !== k)) throw new RangeError('kappa needs a square table of at least two grades');
  if (table.flat().some((count) => !(count >= 0))) throw new RangeError('counts must be at least 0');
  const n = sum(table.flat());
  if (n < 2) return refused('too-few', `Agreement of two raters needs at least 2 subjects that both rated, got ${n}.`);
  const share = table.map((row) => row.map((count) => count / n));
  const rows = share.map(sum);
  const columns = share.map((_, j) => sum(share.map((row) => row[j])));
  const weight = (i: number, j: number): number =>
    weights === 'none' ? (i === j ? 1 : 0) : weights === 'linear' ? 1 - Math.abs(i - j) / (k - 1) : 1 - (i - j) ** 2 / (k - 1) ** 2;
  const over = (f: (i: number, j: number) => number): number => sum(share.flatMap((row, i) => row.map((_, j) => f(i, j))));

  const seen = over((i, j) => weight(i, j) * share[i][j]);
  const chance = over((i, j) => weight(i, j) * rows[i] * columns[j]);
  if (!(chance < 1 - 1e-12))
    return refused('no-spread', 'Both raters gave every subject the same grade, so agreement by chance cannot be told apart.');
  const value = (seen - chance) / (1 - chance);
  const ofRow = rows.map((_, i) => sum(columns.map((c, j) => c * weight(i, j))));
  const ofColumn = columns.map((_, j) => sum(rows.map((r, i) => r * weight(i, j))));
  const spread = over((i, j) => share[i][j] * (weight(i, j) - (ofRow[i] + ofColumn[j]) * (1 - value)) ** 2);
  const spread0 = over((i, j) => rows[i] * columns[j] * (weight(i, j) - (ofRow[i] + ofColumn[j])) ** 2);
  const error = (square: number): number => Math.sqrt(Math.max(0, square) / n) / (1 - chance);
  const u = error(spread - (value - chance * (1 - value)) ** 2);
  const u0 = error(spread0 - chance ** 2);
  return found({
    n,
    weights,
    value,
    u,
    ci95: [Math.max(-1, value - COVERAGE_95 * u), Math.min(1, value + COVERAGE_95 * u)],
    u0,
    p: u0 > 0 ? normalTwoSided(value / u0) : 1,
    same: sum(share.map((row, i) => row[i])),
  });
}

/** The square table of two raters' whole grades from `low` to `high`. Throws RangeError for a grade outside. */
export function gradeTable(first: readonly number[], second: readonly number[], low: number, high: number): number[][] {
  const table = Array.from({ length: high - low + 1 }, () => new Array<number>(high - low + 1).fill(0));
  first.forEach((grade, s) => {
    for (const each of [grade, second[s]])
      if (!(Number.isInteger(each) && each >= low && each <= high)) throw new RangeError(`grade ${each} is not from ${low} to ${high}`);
    table[grade - low][second[s] - low]++;
  });
  return table;
}
