import { describe, expect, it } from 'vitest';
import { pupilDepthMm } from '#lib/face/scale.ts';
import { withSharedScale } from '#lib/face/shared-scale.ts';
import { sightFace } from '#lib/face/sight.ts';
import { shrinkSrgb8 } from '#lib/photo/encode.ts';
import type { Srgb8Raster } from '#lib/photo/types.ts';
import { PUPILS_PX, pasted, photoOf, rendered, sighted } from './phantoms.ts';

const refusalOf = async (raster: Srgb8Raster) => {
  const got = await sightFace(await photoOf(raster), { kind: 'iris' });
  return got.ok ? { why: 'none', detail: '' } : { why: got.why, detail: got.detail };
};

describe('law', () => {
  it('what was rendered is read back: pose, scale, view, and the landmarks in the file', async () => {
    const { raster, truth } = rendered();
    const face = await sighted(raster);
    const { placement } = face.photo;
    expect(face.view).toBe('frontal');
    for (const [angle, planted] of [
      [face.head.yawDeg, 0],
      [face.head.pitchDeg, 0],
      [face.head.rollDeg, 0],
    ] as const)
      expect(Math.abs(angle.value - planted)).toBeLessThan(2 * angle.u);
    const scale = (face.scale.mmPerPx * placement.scale) / truth.mmPerPx;
    expect(Math.abs(scale - 1)).toBeLessThan(0.025); // the phantom's iris is 11.7 mm, so only the measurement errs
    expect(face.scale.relU).toBeGreaterThan(0.042);
    expect(face.scale.relU).toBeLessThan(0.055);
    const pupil = [
      (face.landmarks[3 * 468] + placement.offsetX) / placement.scale,
      (face.landmarks[3 * 468 + 1] + placement.offsetY) / placement.scale,
    ];
    expect(Math.hypot(pupil[0] - truth.pupilsPx[0], pupil[1] - truth.pupilsPx[1])).toBeLessThan(0.04 * PUPILS_PX);
    expect(face.checks.filter((check) => check.verdict === 'refuse')).toEqual([]);
  });

  it('the fitted head has the size that the scale says', async () => {
    const face = await sighted(rendered().raster);
    expect(pupilDepthMm(face.head) / face.head.focalPx).toBeCloseTo(face.scale.mmPerPx, 9);
  });

  it('a turned head is an oblique view, named by the cheek it shows, and takes its size from the frontal one', async () => {
    const { raster, truth } = rendered({ pose: { yawDeg: 35 } });
    const [front, turned] = [await sighted(rendered().raster), await sighted(raster)];
    expect(turned.view).toBe('oblique-right');
    expect(turned.scale.relU).toBeGreaterThan(front.scale.relU);
    const shared = withSharedScale([turned, front]);
    expect(shared[1]).toBe(front);
    expect(Math.abs((shared[0].scale.mmPerPx * turned.photo.placement.scale) / truth.mmPerPx - 1)).toBeLessThan(2 * 0.035);
    expect(pupilDepthMm(shared[0].head) / shared[0].head.focalPx).toBeCloseTo(shared[0].scale.mmPerPx, 9);
    expect(withSharedScale([])).toEqual([]);
  });

  it('a pupil distance given by the user sets the scale more closely than the iris', async () => {
    const { raster, truth } = rendered();
    const face = await sighted(raster, {
      kind: 'interpupillary',
      distanceMm: (Math.hypot(truth.pupilsPx[2] - truth.pupilsPx[0], truth.pupilsPx[3] - truth.pupilsPx[1]) * truth.mmPerPx) as never,
    });
    expect(face.scale.source).toBe('interpupillary');
    expect(face.scale.relU).toBeLessThan(0.02);
    expect(Math.abs((face.scale.mmPerPx * face.photo.placement.scale) / truth.mmPerPx - 1)).toBeLessThan(2 * face.scale.relU);
  });

  it('a small face in the background is ignored', async () => {
    const { raster } = rendered();
    const passer = await shrinkSrgb8(raster, 160);
    const face = await sighted(
      pasted(900, 660, [
        [raster, 0, 0],
        [passer, 640, 200],
      ]),
    );
    expect(face.quality.interpupillaryPx / face.photo.placement.scale).toBeGreaterThan(0.9 * PUPILS_PX);
  });

  it('the same photograph twice gives the same face', async () => {
    const { raster } = rendered();
    expect(await sighted(raster)).toEqual(await sighted(raster));
  });
});

describe('refusal', () => {
  it('no face', async () => {
    const stripes = pasted(400, 400, []);
    for (let i = 0; i < stripes.data.length; i++) stripes.data[i] = (i * 7919) % 251;
    const { why, detail } = await refusalOf(stripes);
    expect(why).toBe('no-face');
    expect(detail).toContain('No face was found');
  });

  it('several faces', async () => {
    const { raster } = rendered();
    const { why, detail } = await refusalOf(
      pasted(2 * raster.width, raster.height, [
        [raster, 0, 0],
        [raster, raster.width, 0],
      ]),
    );
    expect(why).toBe('several-faces');
    expect(detail).toContain('2 faces');
  });

  it('a face of 200 px, with the number and what to do', async () => {
    const { raster } = rendered();
    // from ear to ear the rendered face is 0.56 of the picture's height
    const { why, detail } = await refusalOf(await shrinkSrgb8(raster, 358));
    expect(why).toBe('face-too-small');
    expect(detail).toMatch(/about 8\d px between the pupils, at least 88 are needed/);
    expect(await refusalOf(await shrinkSrgb8(raster, 376))).toEqual({ why: 'none', detail: '' });
  });

  it('a face cut off by the edge of the picture', async () => {
    const { raster } = rendered();
    const { why } = await refusalOf(pasted(raster.width, Math.round(0.62 * raster.height), [[raster, 0, 0]]));
    expect(['face-cut-off', 'no-face']).toContain(why);
    const aside = await refusalOf(pasted(Math.round(0.6 * raster.width), raster.height, [[raster, 0, 0]]));
    expect(aside.why).toBe('face-cut-off');
  });

  it('a marker was promised and there is none', async () => {
    const got = await sightFace(await photoOf(rendered().raster), { kind: 'marker', sideMm: 20 as never });
    expect(got).toMatchObject({ ok: false, why: 'marker-not-found' });
  });
});
