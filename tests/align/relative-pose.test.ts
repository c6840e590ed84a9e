/** The turn of a head between two photographs, planted in rendered faces and read back through the whole sight of both. */
import { describe, expect, it } from 'vitest';
import { relativePose } from '#lib/align/relative-pose.ts';
import { multiply3, poseFromRotation } from '#lib/geometry/rotation.ts';
import { sightedPair } from '#tests/face/phantoms.ts';

const DEG = 180 / Math.PI;

describe('law', () => {
  it.each([
    { yawDeg: 4, pitchDeg: 0, rollDeg: 0 },
    { yawDeg: 0, pitchDeg: -4, rollDeg: 0 },
    { yawDeg: 0, pitchDeg: 0, rollDeg: 8 },
    { yawDeg: -3, pitchDeg: 3, rollDeg: -5 },
  ])('a head that turned by %o is turned back to within a degree', async (planted) => {
    const [before, after] = await sightedPair(planted);
    const { rotation, residualPx } = relativePose(before, after);
    const was = poseFromRotation(before.head.rotation);
    const is = poseFromRotation(multiply3(rotation, before.head.rotation));
    const turned = { yawDeg: (is.yaw - was.yaw) * DEG, pitchDeg: (is.pitch - was.pitch) * DEG, rollDeg: (is.roll - was.roll) * DEG };
    if (process.env.EBBLINE_SHOW) console.info(planted, turned, residualPx);
    for (const angle of ['yawDeg', 'pitchDeg', 'rollDeg'] as const) expect(Math.abs(turned[angle] - planted[angle])).toBeLessThan(1);
    // bone moves rigidly: what is left is the landmarks' own scatter, under 1 % of the 150 px between the pupils
    expect(residualPx).toBeLessThan(1.5);
  });

  it('a photograph against itself has not turned, and the other way round turns back', async () => {
    const [before, after] = await sightedPair({ yawDeg: -3, pitchDeg: 3, rollDeg: -5 });
    const still = relativePose(before, before);
    for (const [i, v] of [...still.rotation].entries()) expect(v).toBeCloseTo(i % 4 === 0 ? 1 : 0, 6);
    const there = relativePose(before, after).rotation;
    const back = relativePose(after, before).rotation;
    const { yaw, pitch, roll } = poseFromRotation(multiply3(back, there));
    expect(Math.max(Math.abs(yaw), Math.abs(pitch), Math.abs(roll)) * DEG).toBeLessThan(0.5);
  });
});
