/** The landmark engine, which never saw these faces, finds their features where they truly are. */
import { describe, expect, test } from 'vitest';
import { openEngine } from '#lib/face/engine.ts';
import { identityFrom } from '#lib/phantom/identity.ts';
import { phantomSpec, renderFace } from '#lib/phantom/render.ts';

/** Landmarks that stand at something visible, not on smooth skin. */
const REGIONS: Readonly<Record<string, readonly number[]>> = {
  'right eye': [33, 160, 159, 158, 133, 153, 145, 144],
  'left eye': [263, 387, 386, 385, 362, 380, 374, 373],
  brows: [52, 65, 53, 105, 66, 282, 295, 283, 334, 296],
  lips: [61, 40, 37, 0, 267, 270, 291, 91, 84, 17, 314, 321],
  cheeks: [50, 101, 36, 280, 330, 266],
};
/**
 * Shares of the pupil distance: mean over all regions, as real photographs are held to 4 %, and any one region. The engine itself leans
 * towards the better lit side of a mouth by up to 3.7 % on dark faces.
 */
const MEAN_LIMIT = 0.03;
const REGION_LIMIT = 0.05;

function errors(seed: number, tone: number, engine: Awaited<ReturnType<typeof openEngine>>): string[] {
  const interpupillaryPx = 140;
  const { raster, truth } = renderFace(
    phantomSpec({
      identity: identityFrom(seed, tone),
      camera: { widthPx: 560, heightPx: 700, interpupillaryPx },
      quality: 'draft',
    }),
  );
  const faces = engine.detect(raster);
  if (faces.length !== 1) return [`tone ${tone}: ${faces.length} faces`];
  const { landmarks } = faces[0];
  const found = Object.entries(REGIONS).map(([region, list]) => {
    const off = list.map((i) =>
      Math.hypot(landmarks[3 * i] - truth.landmarksPx[2 * i], landmarks[3 * i + 1] - truth.landmarksPx[2 * i + 1]),
    );
    return { region, share: off.reduce((sum, px) => sum + px, 0) / off.length / interpupillaryPx };
  });
  const mean = found.reduce((sum, { share }) => sum + share, 0) / found.length;
  const told = found.map(({ region, share }) => `${region} ${(100 * share).toFixed(1)} %`).join(', ');
  return mean > MEAN_LIMIT || found.some(({ share }) => share > REGION_LIMIT) ? [`tone ${tone}: ${told}`] : [];
}

describe('oracle: the landmark engine', () => {
  test('finds one face at every skin tone, with eyes, brows, lips and cheeks within 3 % of the pupil distance on average', async () => {
    const engine = await openEngine();
    expect(
      [
        [1, 0],
        [2, 0.25],
        [3, 0.5],
        [4, 0.75],
        [5, 1],
      ].flatMap(([seed, tone]) => errors(seed, tone, engine)),
    ).toEqual([]);
  });

  test('finds one face from the side and in three-quarter view', async () => {
    const engine = await openEngine();
    const found = [
      [1, 0.2, 38],
      [3, 0.9, -38],
      [6, 0.5, 75],
      [7, 0.1, -80],
    ].map(
      ([seed, tone, yawDeg]) =>
        engine.detect(
          renderFace(
            phantomSpec({
              identity: identityFrom(seed, tone),
              pose: { yawDeg },
              camera: { widthPx: 560, heightPx: 700, interpupillaryPx: 140 },
              quality: 'draft',
            }),
          ).raster,
        ).length,
    );
    expect(found).toEqual([1, 1, 1, 1]);
  });
});
