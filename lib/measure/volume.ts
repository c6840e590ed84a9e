/**
 * Volume and depth of a zone from the displacement field.
 *
 * Model   volume = integral of d over the zone's surface; mean depth = volume over area; peak = the displacement of largest size.
 * Error   posterior of the field, and the scale: 3 relU on volumes, 1 on depths (a length error is common to all three dimensions). The scale
 *         can't make a change out of none, so the test leaves it out; nor can the gain of shading, known to about a fifth.
 *         In narrow zones a depth stays unresolved whatever the posterior says; that counts in both.
 */
import type { FineSurface } from '#lib/align/fine-surface.ts';
import { MM3_PER_ML } from '#lib/geometry/volume.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { bumpsAt, fineZones, zoneIntegrals } from './bumps.ts';
import type { DisplacementFit } from './displacement.ts';
import { DISPLACEMENT_PARAMETERS } from './displacement-parameters.ts';
import { difference, type Reading, type Readings } from './reading.ts';

export type VolumeContext = Readonly<{ mlPerMm: Float64Array; areaMm2: Float64Array; vertexMm: Float64Array }>;

export function volumeContext(fit: DisplacementFit, surface: FineSurface): VolumeContext {
  const { mlPerMm, areaMm2 } = zoneIntegrals(fit.set, surface);
  const vertexMm = Float64Array.from({ length: surface.headMm.length / 3 }, (_, i) =>
    displacementAt(fit, surface, surface.headMm[3 * i], surface.headMm[3 * i + 1], surface.headMm[3 * i + 2]),
  );
  return { mlPerMm, areaMm2, vertexMm };
}

/** The field at a point of the head frame, mm. */
export function displacementAt(fit: DisplacementFit, surface: FineSurface, x: number, y: number, z: number): number {
  let sum = 0;
  bumpsAt(fit.set, surface, x, y, z, (j, value) => {
    sum += value * fit.bumpsMm[j];
  });
  return sum;
}

/** mL per mm of every bump, summed over zones. */
export function volumeWeights(context: VolumeContext, fit: DisplacementFit, zones: readonly ZoneId[]): Float64Array {
  const bumps = fit.set.centres.length;
  const out = new Float64Array(bumps);
  for (const zone of zones) {
    const first = ZONE_IDS.indexOf(zone) * bumps;
    for (let j = 0; j < bumps; j++) out[j] += context.mlPerMm[first + j];
  }
  return out;
}

/** Zones narrower than about two bumps of the field, beside folds, lids and lips whose masks cut their shading. */
const NARROW_ZONES: readonly string[] = ['infraorbital', 'nasolabial', 'marionette', 'commissure', 'upper-lip', 'philtrum', 'vermilion'];

/** `relU` is that of the scale, `views` how many saw the face. */
export function zoneVolume(
  fit: DisplacementFit,
  surface: FineSurface,
  context: VolumeContext,
  zone: ZoneId,
  relU: number,
  views: number,
): Readings {
  const volume = fit.functional(volumeWeights(context, fit, [zone]));
  const area = context.areaMm2[ZONE_IDS.indexOf(zone)];
  if (!(area > 0)) return {};
  const perMm = MM3_PER_ML / area;
  const peakVertex = peakOf(context.vertexMm, ZONE_IDS.indexOf(zone));
  const at = new Float64Array(fit.set.centres.length);
  bumpsAt(
    fit.set,
    surface,
    surface.headMm[3 * peakVertex],
    surface.headMm[3 * peakVertex + 1],
    surface.headMm[3 * peakVertex + 2],
    (j, value) => {
      at[j] = value;
    },
  );
  const peak = fit.functional(at);
  const { gainRelU, narrowDepthMm, narrowDepthSeveralViewsMm } = DISPLACEMENT_PARAMETERS;
  const narrow = NARROW_ZONES.some((stem) => zone.startsWith(stem));
  const unresolvedMm = narrow ? (views > 1 ? narrowDepthSeveralViewsMm : narrowDepthMm) : 0;
  const reading = (value: number, u: number, unresolved: number, scaleRelU: number): Reading => {
    const own = Math.hypot(u, unresolved);
    return difference(value, Math.hypot(own, scaleRelU * value, gainRelU * value), own);
  };
  return {
    volumeMl: reading(volume.value, volume.u, unresolvedMm / perMm, 3 * relU),
    depthMeanMm: reading(volume.value * perMm, volume.u * perMm, unresolvedMm, relU),
    depthPeakMm: reading(peak.value, peak.u, unresolvedMm, relU),
  };
}

function peakOf(vertexMm: Float64Array, zone: number): number {
  let best = -1;
  fineZones().forEach((z, i) => {
    if (z === zone && (best < 0 || Math.abs(vertexMm[i]) > Math.abs(vertexMm[best]))) best = i;
  });
  return best;
}
