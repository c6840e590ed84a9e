/**
 * Assumptions of a test, checked where they can be. A check that finds nothing in few subjects is no proof, so its figures are said.
 */
import { brownForsythe, type FisherTest } from '#lib/stats/compare-groups.ts';
import { shapiroWilk } from '#lib/stats/shapiro-wilk.ts';
import { probabilityText } from '#shared/numbers.ts';
import type { Assumption } from '#shared/study.ts';

/** Past this many subjects means are near enough normal for a t whatever the values are; the test then only describes. */
const CENTRAL_LIMIT = 40;
const ALPHA = 0.05;

/** Shapiro & Wilk on the values of `what`. */
export function normality(values: ArrayLike<number>, what: string): Assumption {
  const name = `${what} are normally distributed`;
  const seen = shapiroWilk(values);
  if (!seen.ok) return { name, held: null, detail: `Not tested. ${seen.detail}` };
  const { n, w, p } = seen.value;
  const figures = `Shapiro-Wilk (Royston 1995), n = ${n}, W = ${w.toFixed(3)}, p ${equals(p)}`;
  const beside = p < ALPHA && n >= CENTRAL_LIMIT ? '; with so many subjects the mean and its interval hardly suffer' : '';
  return { name, held: p >= ALPHA, detail: `${figures}${beside}.` };
}

/** Brown & Forsythe on groups. */
export function equalScatter(groups: readonly ArrayLike<number>[]): Assumption {
  const name = 'groups scatter alike';
  const seen = brownForsythe(groups);
  return seen.ok ? ofFisher(name, seen.value, 'Brown-Forsythe (1974)') : { name, held: null, detail: `Not tested. ${seen.detail}` };
}

export function equalSlopes(slopes: FisherTest | null): Assumption {
  const name = 'the covariate acts alike in all groups';
  return slopes
    ? ofFisher(name, slopes, 'F test of slopes by group')
    : { name, held: null, detail: 'Not tested: a group is too small, or its covariate does not vary.' };
}

export const independence = (detail: string): Assumption => ({ name: 'subjects are independent', held: null, detail });

function ofFisher(name: string, { f, top, bottom, p }: FisherTest, by: string): Assumption {
  return { name, held: p >= ALPHA, detail: `${by}, F(${top}, ${Number(bottom.toFixed(1))}) = ${f.toFixed(2)}, p ${equals(p)}.` };
}

const equals = (p: number): string => (p < 0.001 ? probabilityText(p) : `= ${probabilityText(p)}`);
