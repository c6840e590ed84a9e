import { describe, expect, it } from 'vitest';
import { fineZones } from '#lib/measure/bumps.ts';
import { fitDisplacement } from '#lib/measure/displacement.ts';
import { volumeContext, volumeWeights } from '#lib/measure/volume.ts';
import { REFERENCE_ZONES, ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { paintedPair } from './painted-face.ts';

const LIGHT = [3.2, 0.5, 1.1, 1.3, 0.1, 0.15, 0.1, 0.05, -0.1];
const OTHER = [3.4, 0.3, 1.2, 1.35, 0.08, 0.18, 0.12, 0.02, -0.12];

/** Volume of `zone` as fitted, and as painted. */
function recover(zone: ZoneId, depthMm: number, lightAfter: readonly number[], yaws: readonly number[], seed: number) {
  const index = ZONE_IDS.indexOf(zone);
  const centre = middleOf(index);
  const displaced = (x: number, y: number, z: number): number =>
    depthMm * Math.exp(-((x - centre[0]) ** 2 + (y - centre[1]) ** 2 + (z - centre[2]) ** 2) / (2 * 9 ** 2));
  const views = yaws.map((yawDeg, v) => paintedPair({ yawDeg, lightBefore: LIGHT, lightAfter, displaced, noise: 0.004, seed: seed + v }));
  const fit = fitDisplacement(views, REFERENCE_ZONES);
  const surface = views[0].aligned.surface;
  const context = volumeContext(fit, surface);
  const read = fit.functional(volumeWeights(context, fit, [zone]));
  let truth = 0;
  fineZones().forEach((z, i) => {
    if (z === index)
      truth += (surface.areasMm2[i] * displaced(surface.headMm[3 * i], surface.headMm[3 * i + 1], surface.headMm[3 * i + 2])) / 1000;
  });
  return { ...read, truth };
}

function middleOf(index: number): [number, number, number] {
  const { surface } = paintedPair({ lightBefore: LIGHT, lightAfter: LIGHT, displaced: () => 0, noise: 0, seed: 1 }).aligned;
  const sum: [number, number, number] = [0, 0, 0];
  let count = 0;
  fineZones().forEach((z, i) => {
    if (z !== index) return;
    for (let k = 0; k < 3; k++) sum[k] += surface.headMm[3 * i + k];
    count++;
  });
  return [sum[0] / count, sum[1] / count, sum[2] / count];
}

describe('law', () => {
  it.each(['midface-left', 'midface-right', 'submalar-left', 'chin'] as const)(
    'recovers a loss painted on the %s, with the sign of a loss',
    (zone) => {
      const { value, u, truth } = recover(zone, -2, LIGHT, [0], 5);
      expect(truth).toBeLessThan(-0.3);
      expect(Math.abs(value - truth)).toBeLessThan(Math.max(2.5 * u, 0.25 * Math.abs(truth)));
    },
  );
  it('takes a change of light for light, not for volume', () => {
    const { value, u } = recover('midface-left', 0, OTHER, [0], 7);
    expect(Math.abs(value)).toBeLessThan(2 * u);
  });
});

describe('a pattern over several zones', () => {
  const zones: readonly ZoneId[] = ['midface-left', 'midface-right', 'submalar-left', 'submalar-right'];
  const among = fineZones();
  /** How many standard uncertainties of an even depth over `zones`, and of the strongest single zone's volume. */
  const evidence = (depthMm: number, seed: number) => {
    const { surface } = paintedPair({ lightBefore: LIGHT, lightAfter: LIGHT, displaced: () => 0, noise: 0, seed: 1 }).aligned;
    const middles = zones.map((zone) => middleOf(ZONE_IDS.indexOf(zone)));
    const displaced = (x: number, y: number, z: number): number =>
      depthMm * middles.reduce((sum, [a, b, c]) => sum + Math.exp(-((x - a) ** 2 + (y - b) ** 2 + (z - c) ** 2) / (2 * 10 ** 2)), 0);
    const fit = fitDisplacement([paintedPair({ lightBefore: LIGHT, lightAfter: OTHER, displaced, noise: 0.004, seed })], REFERENCE_ZONES);
    const context = volumeContext(fit, surface);
    const even = fit.pattern(Float64Array.from(fit.set.centres, (c) => (zones.includes(ZONE_IDS[among[c]]) ? 1 : 0)));
    const single = Math.max(
      ...zones.map((zone) => {
        const { value, u } = fit.functional(volumeWeights(context, fit, [zone]));
        return -value / u;
      }),
    );
    return { even: -even.value / even.u, single };
  };

  it('shows a loss spread thinly more strongly than any single zone, and none where none is', () => {
    const thin = evidence(-0.35, 21);
    expect(thin.even).toBeGreaterThan(3);
    expect(thin.even).toBeGreaterThan(thin.single);
    expect(Math.abs(evidence(0, 22).even)).toBeLessThan(2.5);
  });
});
