/**
 * Analysis of covariance: do groups differ once a covariate is taken into account?
 *
 * Model   y = group mean + slope (covariate - its mean) + noise, one slope and one noise for all groups; the test of the groups is the F of
 *         leaving them out while the covariate stays. Adjusted means are those at the covariate's overall mean. Whether one slope does for all
 *         is the F of the slopes by group.
 * Source  Fisher, Statistical Methods for Research Workers, 4th ed., Oliver & Boyd 1932, section 49.1; why the baseline belongs in as
 *         covariate: Vickers & Altman, BMJ 323:1123-1124, 2001, doi:10.1136/bmj.323.7321.1123.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import type { FisherTest } from './compare-groups.ts';
import { fitLinear, type LinearFit } from './linear-fit.ts';
import { mean, sum, sumOfSquaredDeviations } from './sum.ts';
import { fisherTail, studentTwoSided, studentTwoSidedQuantile } from './tails.ts';

export type AdjustedMean = Readonly<{ group: string; n: number; mean: number; u: number; ci95: readonly [number, number] }>;
export type AdjustedDifference = Readonly<{
  group: string;
  against: string;
  value: number;
  u: number;
  ci95: readonly [number, number];
  p: number;
}>;

export type Ancova = Readonly<{
  groups: FisherTest;
  /** Adjusted to `at`, the covariate's mean over all. */
  adjusted: readonly AdjustedMean[];
  /** Each group against the first. */
  differences: readonly AdjustedDifference[];
  slope: number;
  at: number;
  /** Null where a group is too small or its covariate does not vary. */
  slopes: FisherTest | null;
  /** (subjects): observed less fitted, in the order given. */
  residuals: Float64Array;
}>;

export type AncovaRow = Readonly<{ group: string; covariate: number; y: number }>;

/** `rows`: one a subject. The first group met is the one that others are set against. */
export function ancova(rows: readonly AncovaRow[]): Outcome<Ancova, 'too-few' | 'degenerate'> {
  const names = [...new Set(rows.map(({ group }) => group))];
  const counts = names.map((name) => rows.filter(({ group }) => group === name).length);
  const k = names.length;
  if (k < 2 || counts.some((count) => count < 2))
    return refused(
      'too-few',
      `Comparing groups with a covariate needs two or more groups of at least 2 subjects, got ${counts.join(', ') || 'none'}.`,
    );
  const at = mean(rows.map(({ covariate }) => covariate));
  const one = names.map((name) => (row: AncovaRow) => (row.group === name ? 1 : 0));
  const slope = (row: AncovaRow): number => row.covariate - at;

  const full = fitted(rows, [...one, slope]);
  if (!full.ok) return degenerate(full);
  const without = fitted(rows, [() => 1, slope]);
  if (!without.ok) return degenerate(without);
  const bottom = rows.length - k - 1;
  const noise2 = squaresOf(full.value) / bottom;
  if (!(noise2 > 0))
    return refused('degenerate', 'The groups and the covariate fit every value exactly, so nothing says what chance could do.');
  const steeper = slopesOf(rows, one, slope, names, counts);
  const { coefficients, covariance } = full.value;
  const t = studentTwoSidedQuantile(0.05, bottom);
  const width = k + 1;
  const around = (value: number, u: number): [number, number] => [value - t * u, value + t * u];
  return found({
    groups: testOf(squaresOf(without.value) - squaresOf(full.value), k - 1, noise2, bottom),
    adjusted: names.map((group, i) => {
      const u = Math.sqrt(covariance[i * width + i]);
      return { group, n: counts[i], mean: coefficients[i], u, ci95: around(coefficients[i], u) };
    }),
    differences: names.slice(1).map((group, j) => {
      const i = j + 1;
      const value = coefficients[i] - coefficients[0];
      const u = Math.sqrt(covariance[i * width + i] + covariance[0] - 2 * covariance[i * width]);
      return { group, against: names[0], value, u, ci95: around(value, u), p: studentTwoSided(value / u, bottom) };
    }),
    slope: coefficients[k],
    at,
    slopes: steeper && squaresOf(steeper) > 0 ? slopesTest(full.value, steeper, k, rows.length) : null,
    residuals: full.value.residuals,
  });
}

type Column = (row: AncovaRow) => number;

function fitted(rows: readonly AncovaRow[], columns: readonly Column[]): ReturnType<typeof fitLinear> {
  const design = Float64Array.from({ length: rows.length * columns.length }, (_, i) =>
    columns[i % columns.length](rows[Math.floor(i / columns.length)]),
  );
  return fitLinear({ rows: rows.length, columns: columns.length, design, observed: rows.map(({ y }) => y) });
}

function slopesOf(
  rows: readonly AncovaRow[],
  one: readonly Column[],
  slope: Column,
  names: readonly string[],
  counts: readonly number[],
): LinearFit | null {
  if (rows.length < 2 * names.length + 1 || counts.some((count) => count < 3)) return null;
  const flat = names.some((name) => !(sumOfSquaredDeviations(rows.filter(({ group }) => group === name).map(slope)) > 0));
  if (flat) return null;
  const fit = fitted(rows, [
    ...one,
    ...one.map(
      (is): Column =>
        (row) =>
          is(row) * slope(row),
    ),
  ]);
  return fit.ok ? fit.value : null;
}

function slopesTest(full: LinearFit, steeper: LinearFit, k: number, n: number): FisherTest {
  const bottom = n - 2 * k;
  return testOf(squaresOf(full) - squaresOf(steeper), k - 1, squaresOf(steeper) / bottom, bottom);
}

function testOf(squares: number, top: number, noise2: number, bottom: number): FisherTest {
  const f = Math.max(0, squares) / top / noise2;
  return { f, top, bottom, p: fisherTail(f, top, bottom) };
}

const squaresOf = (fit: LinearFit): number => sum(fit.residuals.map((r) => r * r));

function degenerate(refusal: Readonly<{ why: 'too-few' | 'degenerate' }>): ReturnType<typeof refused<'too-few' | 'degenerate'>> {
  return refusal.why === 'too-few'
    ? refused('too-few', 'There are too few subjects for the groups and the covariate together; add subjects or leave the covariate out.')
    : refused('degenerate', 'The covariate does not vary, or goes with the groups, so the two cannot be told apart.');
}
