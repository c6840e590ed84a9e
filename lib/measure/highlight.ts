/**
 * Highlight strength: how much white, mirror-like light lies over the skin's own colour.
 *
 * Model   dichromatic reflection (Shafer, Color Research & Application 10(4):210-218, 1985): a cell is body colour times shading plus
 *         light colour times s. With the light white (sRGB white balance) and the zone's body colour from its duller cells,
 *         s = (B - b R) / (1 - b), b = body blue over red. Strength is the mean of s over the brightest tenth less the zone's median,
 *         over the zone's mean luminance.
 */
import { luminanceFromLinearSrgb } from '#lib/colour/luminance.ts';
import type { RelitPair } from '#lib/light/relight.ts';
import { median, quantile } from '#lib/stats/quantile.ts';
import { difference, type Readings } from './reading.ts';

const FEWEST_CELLS = 30;
/** Repeatability of the quotient on photographs of resting faces without change (docs/validation.md). */
const U_LEAST = 0.012;

export function zoneHighlight(view: RelitPair, list: readonly number[]): Readings {
  if (list.length < FEWEST_CELLS) return {};
  const strength = (rgb: Float64Array): number => {
    const body = quantile(
      list.map((k) => rgb[3 * k + 2] / rgb[3 * k]),
      0.25,
    );
    if (body > 0.95) return Number.NaN; // no colour to tell skin from highlight
    const y = list.map((k) => luminanceFromLinearSrgb(rgb[3 * k], rgb[3 * k + 1], rgb[3 * k + 2]));
    const s = list.map((k) => (rgb[3 * k + 2] - body * rgb[3 * k]) / (1 - body));
    const bright = quantile(y, 0.9);
    const top = s.filter((_, i) => y[i] >= bright);
    const mean = y.reduce((sum, v) => sum + v, 0) / y.length;
    return (top.reduce((sum, v) => sum + v, 0) / top.length - median(s)) / mean;
  };
  const before = strength(view.cells.before),
    after = strength(view.relit);
  if (Number.isNaN(before + after)) return {};
  const u = Math.hypot(U_LEAST, view.luminance.misfit / Math.sqrt(Math.max(1, list.length / 40)));
  return { highlightDelta: difference(after - before, u) };
}
