/** The pooled test: a loss spread so thinly over many zones that no single one shows it. */
import type { Comparison } from '#shared/comparison.ts';
import type { Measures } from '#lib/measure/measure-zones.ts';
import { SET_UP_ERROR } from '#lib/measure/set-up-error.ts';
import { volumeWeights } from '#lib/measure/volume.ts';
import type { ZoneId } from '#shared/zones.ts';
import { quantityOf, tidy, twoSided, Z95 } from './findings.ts';

/** Where gel is usually placed (common practice, no source); the pooled test's zones when none are named. */
export const USUAL_ZONES: readonly ZoneId[] = [
  'infraorbital-left', 'infraorbital-right', 'midface-left', 'midface-right', 'submalar-left', 'submalar-right',
  'nasolabial-left', 'nasolabial-right', 'marionette-left', 'marionette-right', 'prejowl-left', 'prejowl-right',
];

/** The sum over `zones` as one quantity: their errors are correlated, so the covariance of the whole field is used, not the zones' own. */
export function pooledOf(measures: Measures, zones: readonly ZoneId[], relU: number): Comparison['pooled'] {
  if (zones.length === 0) return null;
  const { value, u, uNull } = measures.fit.functional(volumeWeights(measures.volume, measures.fit, zones));
  const floor = SET_UP_ERROR.volumeMl * Math.sqrt(zones.length);
  const total = quantityOf(value, Math.hypot(u, floor, 3 * relU * value));
  const sd = Math.hypot(uNull, floor);
  const p = twoSided(value / sd);
  const finding = p < 0.05 ? 'beyond-error' : 'within-error';
  const amount = Math.abs(value).toFixed(1);
  const statement =
    finding === 'beyond-error'
      ? `Taken together, the ${zones.length} zones of concern ${value < 0 ? 'lost' : 'gained'} ${amount} mL, which is more than the error of their sum.`
      : `Taken together, the ${zones.length} zones of concern show no change beyond error; a change of less than ${(Z95 * sd).toFixed(1)} mL of their sum cannot be told from error here.`;
  return { zones: [...zones], volumeMl: total, p: tidy(p), finding, statement };
}
