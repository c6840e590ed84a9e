/** The pooled test: a loss spread so thinly over many zones that no single one shows it. */

import type { Measures } from '#lib/measure/measure-zones.ts';
import { volumeWeights } from '#lib/measure/volume.ts';
import { solveSpd } from '#lib/stats/solve-spd.ts';
import type { Comparison } from '#shared/comparison.ts';
import type { ZoneId } from '#shared/zones.ts';
import { quantityOf, tidy, twoSided, Z95 } from './findings.ts';
import type { SetUpError } from './set-up.ts';

/** Where gel is usually placed (common practice, no source); the pooled test's zones when none are named. */
export const USUAL_ZONES: readonly ZoneId[] = [
  'infraorbital-left',
  'infraorbital-right',
  'midface-left',
  'midface-right',
  'submalar-left',
  'submalar-right',
  'nasolabial-left',
  'nasolabial-right',
  'marionette-left',
  'marionette-right',
  'prejowl-left',
  'prejowl-right',
];

/**
 * Sum and test over `zones`. The errors of neighbours are correlated, so the covariance of all zones together is used, not their own
 * uncertainties. The test is the one that is strongest against the same change in every zone: the mean by generalised least
 * squares, m = 1'C^-1 v / 1'C^-1 1, against its standard error (Aitken, Proc. R. Soc. Edinb. 55:42-48, 1935).
 */
export function pooledOf(measures: Measures, zones: readonly ZoneId[], relU: number, error: SetUpError): Comparison['pooled'] {
  const n = zones.length;
  if (n === 0) return null;
  const { values, covariance } = measures.fit.functionals(zones.map((zone) => volumeWeights(measures.volume, measures.fit, [zone])));
  const total = values.reduce((sum, value) => sum + value, 0);
  const withSetUp = covariance.map((c, k) => (k % (n + 1) === 0 ? c + error(zones[k / (n + 1)], 'volumeMl') ** 2 : c));
  const variance = withSetUp.reduce((sum, c) => sum + c, 0);
  const weights = solveSpd(withSetUp, new Float64Array(n).fill(1), n);
  const information = weights.reduce((sum, w) => sum + w, 0);
  const mean = weights.reduce((sum, w, i) => sum + w * values[i], 0) / information;
  const z = mean * Math.sqrt(information);
  const p = twoSided(z);
  const finding = p < 0.05 ? 'beyond-error' : 'within-error';
  const limit = ((Z95 / Math.sqrt(information)) * n).toFixed(1);
  const statement =
    finding === 'beyond-error'
      ? `Taken together, the ${n} zones of concern ${mean < 0 ? 'lost' : 'gained'} volume, more than the error of all of them together can explain; the sum measured is ${total < 0 ? '\u2212' : '+'}${Math.abs(total).toFixed(1)} mL.`
      : `Taken together, the ${n} zones of concern show no change beyond error; a change of less than about ${limit} mL spread evenly over them cannot be told from error here.`;
  return {
    zones: [...zones],
    volumeMl: quantityOf(total, Math.hypot(Math.sqrt(variance), 3 * relU * total)),
    p: tidy(p),
    finding,
    statement,
  };
}
