/**
 * Wilcoxon's signed-rank test of changes against a symmetric distribution about no change.
 *
 * Model   zeros are left out, as Wilcoxon did; equal sizes share the mean of their ranks. `exact` counts every pattern of signs given the
 *         ranks that were seen, ties included; `normal` is the approximation with the variance corrected for ties and with a
 *         correction for continuity. Which one was used is said.
 * Source  Wilcoxon, Biometrics Bulletin 1(6):80-83, 1945, doi:10.2307/3001968; conditional on ties: Hollander, Wolfe & Chicken,
 *         Nonparametric Statistical Methods, 3rd ed., Wiley 2014, section 3.1.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { normalTwoSided } from './normal.ts';
import { midranks } from './ranks.ts';

export type SignedRankMethod = 'exact' | 'normal';
export type SignedRank = Readonly<{ n: number; zeros: number; ties: boolean; rankSum: number; p: number; method: SignedRankMethod }>;

/** Up to this many changes other than zero the counting is exact; past it the approximation is good to three digits. */
const MOST_EXACT = 100;

/** `changes`: one value a subject. `method` is chosen by size when left out. `rankSum` is of the gains. */
export function signedRank(changes: ArrayLike<number>, method?: SignedRankMethod, continuity = true): Outcome<SignedRank, 'too-few'> {
  const moved = Array.from(changes).filter((change) => change !== 0);
  const n = moved.length;
  const zeros = changes.length - n;
  if (n < 1) return refused('too-few', `The signed-rank test needs a change other than 0, and all ${changes.length} are 0.`);
  const { ranks, ties } = midranks(moved.map(Math.abs));
  const rankSum = ranks.reduce((total, rank, i) => total + (moved[i] > 0 ? rank : 0), 0);
  const used = method ?? (n <= MOST_EXACT ? 'exact' : 'normal');
  const p = used === 'exact' ? exactP(ranks, rankSum) : normalP(n, rankSum, ties, continuity);
  return found({ n, zeros, ties: ties.length > 0, rankSum, p, method: used });
}

/** Twice the ranks are whole numbers, so the shares of all sums follow by adding one rank after another. */
function exactP(ranks: readonly number[], rankSum: number): number {
  const doubled = ranks.map((rank) => Math.round(2 * rank));
  const most = doubled.reduce((total, rank) => total + rank, 0);
  let shares = new Float64Array(most + 1);
  shares[0] = 1;
  let reach = 0;
  for (const rank of doubled) {
    const next = new Float64Array(most + 1);
    for (let s = 0; s <= reach; s++) {
      next[s] += shares[s] / 2;
      next[s + rank] += shares[s] / 2;
    }
    shares = next;
    reach += rank;
  }
  const seen = Math.round(2 * rankSum);
  const nearer = Math.min(seen, most - seen);
  let tail = 0;
  for (let s = 0; s <= nearer; s++) tail += shares[s];
  return Math.min(1, 2 * tail);
}

function normalP(n: number, rankSum: number, ties: readonly number[], continuity: boolean): number {
  const variance = (n * (n + 1) * (2 * n + 1)) / 24 - ties.reduce((total, t) => total + t ** 3 - t, 0) / 48;
  const away = Math.abs(rankSum - (n * (n + 1)) / 4);
  return normalTwoSided((continuity ? Math.max(0, away - 0.5) : away) / Math.sqrt(variance));
}
