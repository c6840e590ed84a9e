/**
 * Everything that can be read off the zones of one pair, and how well each zone was seen.
 */
import type { RelitPair } from '#lib/light/relight.ts';
import { FOLD_ZONES, MOBILE_ZONES, ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { colourContext, zoneColour } from './colour.ts';
import { zoneContour } from './contour.ts';
import { type DisplacementFit, fitDisplacement } from './displacement.ts';
import { type FineLight, fineLight } from './fine-light.ts';
import { zoneHighlight } from './highlight.ts';
import type { Readings } from './reading.ts';
import { zoneShadow } from './shadow.ts';
import { textureContext, zoneTexture } from './texture.ts';
import { type VolumeContext, volumeContext, zoneVolume } from './volume.ts';
import { areaOfCells, bestView } from './zone-cells.ts';

export type ZoneMeasure = Readonly<{
  zone: ZoneId;
  areaMm2: number;
  /** Share of the zone seen as skin in both photographs, and share of that where the light model held; 0..1. */
  seen: number;
  trusted: number;
  readings: Readings;
}>;

export type Measures = Readonly<{
  zones: readonly ZoneMeasure[];
  fit: DisplacementFit;
  volume: VolumeContext;
  /** One per view, for the plates. */
  fine: readonly FineLight[];
  /** One per view: (3) log gain left on the reference zones, by channel. */
  drifts: readonly (readonly number[])[];
}>;

/** Zones that fold when the mouth moves. */
const creases = (zone: ZoneId): boolean => MOBILE_ZONES.includes(zone) || zone.startsWith('nasolabial');

export function measureZones(views: readonly RelitPair[], references: readonly ZoneId[], relU: number): Measures {
  const fit = fitDisplacement(views, references);
  const surface = views[0].aligned.surface;
  const volume = volumeContext(fit, surface);
  const fine = views.map(fineLight);
  const colours = views.map((view) => colourContext(view, references));
  const textures = views.map((view, v) => textureContext(view, fine[v], references));
  const zones = ZONE_IDS.map((zone, index): ZoneMeasure => {
    const areaMm2 = volume.areaMm2[index];
    const best = bestView(views, zone);
    if (!best) return { zone, areaMm2, seen: 0, trusted: 0, readings: {} };
    const v = views.indexOf(best.view);
    const { view, list } = best;
    const seenMm2 = areaOfCells(view.cells, list);
    const trusted = list.reduce((sum, k) => sum + fit.trust[v][k] * view.cells.areaMm2[k], 0) / seenMm2;
    return {
      zone,
      areaMm2,
      seen: Math.min(1, seenMm2 / areaMm2),
      trusted: Math.min(1, trusted),
      readings: {
        ...zoneVolume(fit, surface, volume, zone, relU, views.length),
        ...zoneColour(view, list, colours[v], creases(zone)),
        ...(FOLD_ZONES.includes(zone) ? zoneShadow(view, fine[v], zone) : {}),
        ...zoneContour(view.aligned, zone),
        ...zoneTexture(textures[v], zone),
        ...zoneHighlight(view, list),
      },
    };
  });
  return { zones, fit, volume, fine, drifts: colours.map(({ drift }) => drift) };
}
