/**
 * The shadow of a fold: its depth against the skin beside it, and its area.
 *
 * Model   flank = upper quartile of L* in the zone; depth = lowest twentieth less flank, each photograph against its own flank;
 *         area = skin more than SHADE darker than the flank. A cut through the fold would be sharper but would depend on where it is laid.
 * Error   the light's misfit moves flank and floor apart, and the threshold with them; the area answers by its slope there.
 */
import type { RelitPair } from '#lib/light/relight.ts';
import { quantiles } from '#lib/stats/quantile.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import type { FineLight } from './fine-light.ts';
import { difference, type Readings } from './reading.ts';

/** L* under the flank that counts as shadow; about two just noticeable differences at the size of a fold (common practice, no source). */
const SHADE = 4;
const FEWEST_CELLS = 40;

export function zoneShadow(view: RelitPair, light: FineLight, zone: ZoneId): Readings {
  const index = ZONE_IDS.indexOf(zone);
  const list: number[] = [];
  light.zone.forEach((z, k) => z === index && !Number.isNaN(light.before[k]) && list.push(k));
  if (list.length < FEWEST_CELLS) return {};
  const fold = (values: Float32Array) => {
    const [floor, flank] = quantiles(
      list.map((k) => values[k]),
      [0.05, 0.75],
    );
    const area = (shift: number): number => list.reduce((sum, k) => (values[k] < flank - SHADE + shift ? sum + light.areaMm2[k] : sum), 0);
    // d L* / d log Y
    const uL = ((flank + 16) / 3) * view.luminance.misfit;
    return { depth: floor - flank, area: area(0), slope: (area(uL) - area(-uL)) / 2, uL };
  };
  const before = fold(light.before),
    after = fold(light.after);
  // Floor and flank lie within a few mm of each other, so the misfit moves them mostly together: half of it parts them.
  const uDepth = Math.hypot(before.uL, after.uL) / 2;
  // One cell row along the shadow's edge is the least that area can be known by.
  const edge = Math.sqrt(Math.max(before.area, after.area, 1)) * view.aligned.map.stride * view.aligned.mmPerPx * 0.5;
  return {
    shadowAreaMm2: difference(after.area - before.area, Math.hypot(before.slope, after.slope, edge)),
    shadowDepthDelta: difference(after.depth - before.depth, Math.max(0.3, uDepth)),
  };
}
