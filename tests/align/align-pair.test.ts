import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { alignPair } from '#lib/align/align-pair.ts';
import { sightFace } from '#lib/face/sight.ts';
import type { Face } from '#lib/face/types.ts';
import { openPhoto } from '#lib/photo/open.ts';
import { rasterOf, resample } from '#lib/photo/raster.ts';
import { photoPair } from '#tests/compare/phantom-photos.ts';

async function sighted(bytes: Uint8Array, name: string): Promise<Face> {
  const photo = await openPhoto(bytes, name);
  if (!photo.ok) throw new Error(photo.detail);
  const face = await sightFace(photo.value, { kind: 'iris' });
  if (!face.ok) throw new Error(face.detail);
  return face.value;
}

/** The face with the skin around one landmark pulled aside by a smooth bump of `mm`, 10 mm wide (sd); the landmarks know nothing of it. */
function pulled(face: Face, landmark: number, mm: number, axis: 'x' | 'y'): Face {
  const { width, height } = face.photo;
  const px = mm / face.scale.mmPerPx;
  const sd = 10 / face.scale.mmPerPx;
  const [cx, cy] = [face.landmarks[3 * landmark], face.landmarks[3 * landmark + 1]];
  const xs = new Float32Array(width * height);
  const ys = new Float32Array(width * height);
  for (let y = 0, k = 0; y < height; y++)
    for (let x = 0; x < width; x++, k++) {
      const shift = px * Math.exp(-((x + 0.5 - cx) ** 2 + (y + 0.5 - cy) ** 2) / (2 * sd * sd));
      xs[k] = x + 0.5 - (axis === 'x' ? shift : 0);
      ys[k] = y + 0.5 - (axis === 'y' ? shift : 0);
    }
  const { data } = resample(rasterOf(face.photo), xs, ys, width, height, 'cubic', 'edge');
  return { ...face, photo: { ...face.photo, data } };
}

/** Shift beyond the rigid motion at a landmark, mm. */
function shiftAtLandmark(before: Face, after: Face, landmark: number): [number, number] {
  const { map, flow, rigidFlow, mmPerPx } = alignPair(before, after);
  const cell =
    Math.floor(before.landmarks[3 * landmark + 1] / map.stride) * map.width + Math.floor(before.landmarks[3 * landmark] / map.stride);
  return [(flow.x[cell] - rigidFlow.x[cell]) * mmPerPx, (flow.y[cell] - rigidFlow.y[cell]) * mmPerPx];
}

const CHEEK = 330;
const FOREHEAD = 151;

describe('law: on a rendered face', () => {
  let face: Face;
  let turned: Face;
  beforeAll(async () => {
    const { before, after } = await photoPair(331, { nuisance: { yawDeg: 3, pitchDeg: -2, rollDeg: 2.5, shiftXMm: 6, sizeFactor: 1.03 } });
    face = await sighted(before.bytes, before.name);
    turned = await sighted(after.bytes, after.name);
  });

  it.each([
    [CHEEK, 'x', 0.6],
    [CHEEK, 'y', -0.6],
    [FOREHEAD, 'y', 0.4],
  ] as const)('follows skin at landmark %i that moved along %s by %f mm, against landmarks that say it did not', (landmark, axis, mm) => {
    const [dx, dy] = shiftAtLandmark(face, pulled(face, landmark, mm, axis), landmark);
    const [along, across] = axis === 'x' ? [dx, dy] : [dy, dx];
    expect(along / mm).toBeGreaterThan(0.85);
    expect(along / mm).toBeLessThan(1.1);
    expect(Math.abs(across)).toBeLessThan(0.05);
  });

  it('leaves nothing to move between a photograph and itself', () => {
    const { registration, rigid } = alignPair(face, face);
    expect(registration.expressionMm).toBeLessThan(1e-6);
    expect(registration.residualPx).toBeLessThan(1e-3);
    expect(rigid.residualPx).toBeLessThan(1e-6);
  });

  it('brings a head that turned, tilted, moved and grew in the picture back to within 0.1 mm, and says so', () => {
    const { registration } = alignPair(face, turned);
    expect(registration.residualMm).toBeLessThan(0.1);
  });

  it('writes to neither face', () => {
    const copies = [face.photo.data.slice(), face.landmarks.slice()];
    alignPair(face, turned);
    expect(face.photo.data).toEqual(copies[0]);
    expect(face.landmarks).toEqual(copies[1]);
  });
});

const canada = process.env.EBBLINE_TEST_DATA ? join(process.env.EBBLINE_TEST_DATA, 'faces/canada') : '';

describe.skipIf(!canada)('law: on photographs of real skin (DeBruine & Jones 2017, CC-BY)', () => {
  it('follows skin that moved by 0.5 mm to within a tenth of that', async () => {
    for (const name of readdirSync(canada)
      .filter((file) => file.endsWith('.jpg'))
      .slice(0, 3)) {
      const face = await sighted(readFileSync(join(canada, name)), name);
      for (const axis of ['x', 'y'] as const) {
        const found = shiftAtLandmark(face, pulled(face, CHEEK, 0.5, axis), CHEEK)[axis === 'x' ? 0 : 1];
        expect(Math.abs(found / 0.5 - 1)).toBeLessThan(0.1);
      }
    }
  });
});
