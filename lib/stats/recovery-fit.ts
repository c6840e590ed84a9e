/**
 * A recovery towards a plateau: where a measured change settles after a treatment, and how surely that is known.
 *
 * Model   y(t) = plateau + (start - plateau) exp(-t / tau), t in days after the treatment, tau > 0. The observations carry a known
 *         covariance V (they may share an error), so residuals are whitened by the Cholesky factor of V: generalised least squares.
 *         With observations to spare, V is widened by their scatter when that is larger than V says (Birge's ratio), never narrowed.
 * Interval of the plateau by profile likelihood: all plateaus whose best curve is worse by less than chi-square's 3.84. It is one-sided
 *         infinite exactly when a straight line (the curve of endless tau) fits that well; then there is no answer, nor when an end lies
 *         further outside of what was seen than the whole range of what was seen: that would be told by the model alone.
 * Source  Levenberg-Marquardt in curve-fit.ts; profile likelihood: Venzon & Moolgavkar, Applied Statistics 37(1):87-94, 1988,
 *         doi:10.2307/2347496; the likelihood-ratio test of a constant has two degrees of freedom; AICc: Hurvich & Tsai, Biometrika
 *         76(2):297-307, 1989, doi:10.1093/biomet/76.2.297; Birge, Physical Review 40:207, 1932, doi:10.1103/PhysRev.40.207.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { fitCurve } from './curve-fit.ts';
import { bestAtPlateau, bestTau } from './recovery-search.ts';
import { factorSpd } from './solve-spd.ts';
import { chiSquareQuantile, chiSquareTail } from './tails.ts';
import { project, whitener } from './whitened.ts';

export type RecoveryData = Readonly<{
  /** (n) days after the treatment, above 0. */
  days: readonly number[];
  /** (n) measured change; any unit, the plateau has the same. */
  values: readonly number[];
  /** (n, n), row-major: the covariance of the values, in that unit squared. */
  covariance: ArrayLike<number>;
}>;

export type RecoveryFit = Readonly<{
  plateau: number;
  uPlateau: number;
  /** 95 %, by profile likelihood; not symmetric in general. */
  plateauCi95: readonly [number, number];
  /** The change at day 0, and its standard uncertainty. */
  start: number;
  uStart: number;
  /** Days after which 63 % of the way from start to plateau is gone. */
  tauDays: number;
  uTauDays: number;
  /** Of the whitened residuals, and its degrees of freedom, n - 3. */
  chiSquare: number;
  freedom: number;
  /** 1, or the ratio by which the scatter exceeds what V says. */
  birge: number;
  /** Probability of a scatter about a constant as large as seen, were there nothing but a constant. */
  pConstant: number;
  /** Of the curve less that of a constant; below 0 speaks for the curve. Null with fewer than 5 observations, where it is not defined. */
  aiccGain: number | null;
}>;

export type RecoveryFault = 'too-few' | 'no-curve' | 'tau-outside' | 'no-plateau' | 'degenerate';

export const LEAST_FOLLOW_UPS = 3;
const ALPHA = 0.05;

/** Throws RangeError when lengths do not agree, a day is not above 0, or V is not positive definite. */
export function fitRecovery({ days, values, covariance }: RecoveryData): Outcome<RecoveryFit, RecoveryFault> {
  const n = days.length;
  if (values.length !== n || covariance.length !== n * n) throw new RangeError(`${n} days need ${n} values and an (${n}, ${n}) covariance`);
  if (days.some((day) => !(day > 0))) throw new RangeError('days must lie after the treatment');
  const distinct = [...new Set(days)].sort((a, b) => a - b);
  if (distinct.length < LEAST_FOLLOW_UPS)
    return refused(
      'too-few',
      `A recovery curve needs at least ${LEAST_FOLLOW_UPS} follow-ups on different days after the treatment; there ${distinct.length === 1 ? 'is 1' : `are ${distinct.length}`}.`,
    );
  const lower = factorSpd(covariance, n);
  if (!lower) throw new RangeError('the covariance is not positive definite');
  const whiten = whitener(lower, n);
  const y = whiten(values);
  const ones = whiten(values.map(() => 1));
  const constant = project([ones], y);
  const line = project([ones, whiten(days)], y);

  const first = distinct[0]!;
  const span = distinct.at(-1)! - first;
  const begin = bestTau(days, whiten, y, ones, first, span);
  const fit = fitCurve(
    ([plateau, start, logTau]) => {
      const tau = Math.exp(logTau!);
      const left = days.map((day) => Math.exp(-day / tau));
      const fitted = whiten(left.map((e) => plateau! * (1 - e) + start! * e));
      const byPlateau = whiten(left.map((e) => 1 - e));
      const byStart = whiten(left);
      const byLogTau = whiten(left.map((e, i) => (start! - plateau!) * e * (days[i]! / tau)));
      return {
        residuals: y.map((value, i) => value - fitted[i]!),
        slopes: days.flatMap((_, i) => [byPlateau[i]!, byStart[i]!, byLogTau[i]!]),
      };
    },
    [begin.plateau, begin.start, Math.log(begin.tau)],
  );
  const chiSquare = fit.ok ? fit.value.squares : begin.squares;
  const freedom = n - 3;
  const birge = freedom > 0 ? Math.max(1, Math.sqrt(chiSquare / freedom)) : 1;
  const scale = birge * birge;
  const pConstant = chiSquareTail((constant.squares - chiSquare) / scale, 2);
  const aiccGain = n < 5 ? null : aicc(chiSquare / scale, 3, n) - aicc(constant.squares / scale, 1, n);
  if (pConstant > ALPHA || (aiccGain !== null && aiccGain >= 0))
    return refused(
      'no-curve',
      'The follow-ups do not differ by more than their error, so no recovery can be told from no change between them.',
    );
  if (!fit.ok) return noPlateau();
  const [plateau, start, logTau] = fit.value.parameters as unknown as [number, number, number];
  const tauDays = Math.exp(logTau);
  const limit = scale * chiSquareQuantile(ALPHA, 1);
  if (line.squares <= chiSquare + limit) return noPlateau();
  if (tauDays < first / 3 || tauDays > span)
    return refused(
      'tau-outside',
      tauDays > span
        ? `The recovery would take longer (time constant ${Math.round(tauDays)} days) than the ${Math.round(span)} days between the first and the last follow-up. A later follow-up will tell where it settles.`
        : `Whatever recovered had done so before the first follow-up on day ${Math.round(first)}, so the follow-ups show no curve.`,
    );
  const worse = (at: number): number => bestAtPlateau(at, days, whiten, y, first, span) - chiSquare;
  const u = fit.value.covariance.map((value) => value * scale);
  const uPlateau = Math.sqrt(u[0]!);
  const ends = [crossing(worse, plateau, -uPlateau, limit), crossing(worse, plateau, uPlateau, limit)] as const;
  if (ends[0] === null || ends[1] === null) return noPlateau();
  const [least, most] = [Math.min(...values), Math.max(...values)];
  if (ends[0] < least - (most - least) || ends[1] > most + (most - least))
    return refused(
      'no-plateau',
      'Where the change settles could lie further from all follow-ups than they lie from each other, so it cannot be said yet. A later follow-up will tell.',
    );
  return found({
    plateau,
    uPlateau,
    plateauCi95: [ends[0], ends[1]],
    start,
    uStart: Math.sqrt(u[4]!),
    tauDays,
    uTauDays: tauDays * Math.sqrt(u[8]!),
    chiSquare,
    freedom,
    birge,
    pConstant,
    aiccGain,
  });
}

/** The fitted change on a day. */
export const recoveryAt = ({ plateau, start, tauDays }: Pick<RecoveryFit, 'plateau' | 'start' | 'tauDays'>, day: number): number =>
  plateau + (start - plateau) * Math.exp(-day / tauDays);

const noPlateau = () =>
  refused(
    'no-plateau',
    'The follow-ups could as well lie on a straight line, so where the change settles cannot be said yet. A later follow-up will tell.',
  );

const aicc = (squares: number, k: number, n: number): number => squares + 2 * k + (2 * k * (k + 1)) / (n - k - 1);

/** Where `worse` first reaches `limit` on the side of `step`; null when it does not within a thousand steps. */
function crossing(worse: (at: number) => number, from: number, step: number, limit: number): number | null {
  let near = from;
  let reach = step;
  while (worse(from + reach) < limit) {
    near = from + reach;
    reach *= 1.5;
    if (Math.abs(reach) > 1000 * Math.abs(step)) return null;
  }
  let far = from + reach;
  for (let i = 0; i < 50; i++) {
    const middle = (near + far) / 2;
    if (worse(middle) < limit) near = middle;
    else far = middle;
  }
  return (near + far) / 2;
}
