/** The pooled test: a loss spread so thinly over many zones that no single one shows it. */

import { MM3_PER_ML } from '#lib/geometry/volume.ts';
import { fineZones } from '#lib/measure/bumps.ts';
import { DISPLACEMENT_PARAMETERS } from '#lib/measure/displacement-parameters.ts';
import type { Measures } from '#lib/measure/measure-zones.ts';
import { PATTERN_ERROR_MM, SET_UP_ERROR } from '#lib/measure/set-up-error.ts';
import { volumeWeights } from '#lib/measure/volume.ts';
import type { Comparison } from '#shared/comparison.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { quantityOf, tidy, twoSided } from './findings.ts';
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

/** Each of the two questions below is asked at half of the 5 %. */
const Z_OF_HALF = 2.241403;

/**
 * Sum and test over `zones`. The sum is that of the field. The test asks two questions, and takes the better answer at twice its probability
 * (Bonferroni): whether all sank or rose alike, which is how much of an even depth over all of them the pair shows on a face that is else
 * at rest (`pattern` in field-fit.ts); and whether some of them did by themselves. The first finds a change which each zone's own estimate
 * holds back as not credible; so the presence of a change is better known than its size.
 */
export function pooledOf(measures: Measures, zones: readonly ZoneId[], relU: number, error: SetUpError): Comparison['pooled'] {
  if (zones.length === 0) return null;
  const { fit, volume } = measures;
  const weights = zones.map((zone) => volumeWeights(volume, fit, [zone]));
  const own = fit.functionals(weights);
  const total = own.values.reduce((sum, value) => sum + value, 0);
  const u = Math.sqrt(own.covariance.reduce((sum, c) => sum + c, 0));

  const inside = fineZones();
  const even = Float64Array.from(fit.set.centres, (c) => (zones.includes(ZONE_IDS[inside[c]]) ? 1 : 0));
  const mlPerMm = zones.reduce((sum, zone) => sum + volume.areaMm2[ZONE_IDS.indexOf(zone)], 0) / MM3_PER_ML;
  const heightMm = even.reduce((sum, on, j) => sum + on * weights.reduce((ml, weight) => ml + weight[j], 0), 0) / mlPerMm;
  const depth = fit.pattern(even.map((on) => on / heightMm));
  // A set-up that repeats worse than the validation's in these zones repeats worse together too.
  const worse = Math.sqrt(zones.reduce((sum, zone) => sum + (error(zone, 'volumeMl') / SET_UP_ERROR.volumeMl) ** 2, 0) / zones.length);
  const uNull = Math.hypot(depth.u, PATTERN_ERROR_MM * worse);
  const alike = twoSided(depth.value / uNull);
  const single = Math.min(
    ...zones.map((zone, i) =>
      twoSided(own.values[i] / Math.hypot(Math.sqrt(own.covariance[i * (zones.length + 1)]), error(zone, 'volumeMl'))),
    ),
  );
  const p = Math.min(1, 2 * Math.min(alike, zones.length * single));
  const lost = alike <= zones.length * single ? depth.value < 0 : total < 0;
  const finding = p < 0.05 ? 'beyond-error' : 'within-error';
  const statement =
    finding === 'beyond-error'
      ? `Taken together, the ${zones.length} zones of concern ${lost ? 'lost' : 'gained'} volume, more than the error of all of them together can explain; the sum measured is ${total < 0 ? '\u2212' : '+'}${Math.abs(total).toFixed(1)} mL.`
      : `Taken together, the ${zones.length} zones of concern show no change beyond error; a change of less than about ${(Z_OF_HALF * uNull * mlPerMm).toFixed(1)} mL spread evenly over them cannot be told from error here.`;
  return {
    zones: [...zones],
    volumeMl: quantityOf(total, Math.hypot(u, 3 * relU * total, DISPLACEMENT_PARAMETERS.gainRelU * total)),
    p: tidy(p),
    finding,
    statement,
  };
}
