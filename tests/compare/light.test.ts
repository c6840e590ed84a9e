/** Light alone must not look like a change of the face. */
import { describe, expect, it } from 'vitest';
import { comparePair } from '#lib/compare/compare-pair.ts';
import { photoPair } from './phantom-photos.ts';

const LIGHTS = [
  { seed: 321, nuisance: { lightAzimuthDeg: 7, lightElevationDeg: -4, exposure: 0.9 } },
  { seed: 322, nuisance: { lightAzimuthDeg: -5, lightElevationDeg: 5, lampBalance: 1.15, red: 1.06, blue: 0.95 } },
  { seed: 323, nuisance: { ambientFactor: 1.15, exposure: 1.12, red: 0.95, blue: 1.07 } },
];

describe('law: after a change of light only, lightness stays within its stated uncertainty', () => {
  it('covers at least nine in ten zones with 95 % intervals, and finds nothing beyond error', async () => {
    let [zones, covered] = [0, 0];
    const found: string[] = [];
    for (const { seed, nuisance } of LIGHTS) {
      const { before, after } = await photoPair(seed, { nuisance });
      const outcome = await comparePair([before], [after]);
      if (!outcome.ok) throw new Error(outcome.detail);
      const { comparison } = outcome.value;
      expect(comparison.gate.comparable).toBe(true);
      for (const zone of comparison.zones) {
        const lightness = zone.metrics.lightnessDelta;
        if (!lightness) continue;
        zones++;
        if (lightness.ci95[0] <= 0 && lightness.ci95[1] >= 0) covered++;
        if (zone.finding === 'beyond-error')
          found.push(`${seed} ${zone.zone} ${JSON.stringify(zone.metrics.volumeMl)} ${JSON.stringify(lightness)}`);
      }
    }
    expect(zones).toBeGreaterThan(60);
    expect(covered / zones).toBeGreaterThan(0.9);
    expect(found).toEqual([]);
  }, 240_000);
});
