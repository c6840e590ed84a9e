import { beforeAll, describe, expect, it } from 'vitest';
import { canonicalMesh } from '#lib/face/canonical-mesh.ts';
import { type FaceEngine, openEngine } from '#lib/face/engine.ts';
import { averagedLandmarks } from '#lib/face/landmarks.ts';
import { mirroredLandmarks } from '#lib/face/mirror.ts';
import { pupilDistance, type ShiftedCopy, shiftedCopies } from '#lib/face/shifted-copies.ts';
import { gaussianBlur, type Raster, resample } from '#lib/photo/raster.ts';
import { srgb8FromLinear } from '#lib/photo/srgb8.ts';
import { type Random, randomFrom } from '#lib/stats/random.ts';
import { enlarged, linear, NEEDS_FACES, photographs, picture } from '#tests/face/photographs.ts';

const COUNT = 478;

/** A frontal face of landmarks, `apart` px between the pupils, turned by `roll`, its pupils' middle at (x, y). */
function landmarksAt(x: number, y: number, apart: number, roll = 0.1): Float64Array {
  const { vertices } = canonicalMesh();
  const perMm = apart / 63;
  const out = new Float64Array(3 * COUNT);
  for (let i = 0; i < COUNT; i++) {
    const iris = i >= 473 ? 1 : -1;
    const u = i < 468 ? vertices[3 * i] * perMm : (iris * apart) / 2;
    const v = i < 468 ? -vertices[3 * i + 1] * perMm : 0;
    out[3 * i] = x + Math.cos(roll) * u - Math.sin(roll) * v;
    out[3 * i + 1] = y + Math.sin(roll) * u + Math.cos(roll) * v;
  }
  return out;
}

/** Red rises with x and green with y, in the codes that a copy holds; so a colour tells its place. */
function placeColours(width: number, height: number): Raster {
  const data = new Float32Array(3 * width * height);
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) data.set([toLinear((x + 0.5) / width), toLinear((y + 0.5) / height), 0], 3 * (y * width + x));
  return { width, height, channels: 3, data };
}
const toLinear = (code: number): number => (code <= 0.04045 ? code / 12.92 : ((code + 0.055) / 1.055) ** 2.4);

/** What a copy's way back does to places: [x, y] = [ox + a u + b v, oy + c u + d v]. */
function wayBack(copy: ShiftedCopy) {
  const probe = (u: number, v: number): number[] => [
    ...copy.back(new Float64Array(3 * COUNT).map((_, i) => [u, v, 0][i % 3])).subarray(0, 2),
  ];
  const [ox, oy] = probe(0, 0);
  const [ax, ay] = probe(1, 0);
  const [bx, by] = probe(0, 1);
  const [a, b, c, d] = [ax - ox, bx - ox, ay - oy, by - oy];
  const det = a * d - b * c;
  return { ox, oy, a, b, c, d, det, names: det < 0 ? mirroredLandmarks() : null };
}

/** Where in a copy the landmarks of the photograph lie: `back` undone. */
function intoCopy(copy: ShiftedCopy, truth: Float64Array): Float64Array {
  const { ox, oy, a, b, c, d, det, names } = wayBack(copy);
  const out = new Float64Array(3 * COUNT);
  for (let i = 0; i < COUNT; i++) {
    const from = 3 * (names ? names[i] : i);
    const x = truth[from] - ox;
    const y = truth[from + 1] - oy;
    out[3 * i] = (d * x - b * y) / det;
    out[3 * i + 1] = (a * y - c * x) / det;
  }
  return out;
}

/** An engine that knows the truth and adds an error of its own, in px of the copy. */
function knowing(photo: Raster, truth: Float64Array, error: (run: number, coordinate: number) => number): FaceEngine {
  const inCopies = shiftedCopies(photo, truth).map((copy) => intoCopy(copy, truth));
  let run = 0;
  return {
    detect: () => {
      const landmarks = inCopies[run % 8].map((v, k) => (k % 3 === 2 ? v : v + error(run, k)));
      run++;
      return [{ landmarks }];
    },
  };
}

const value = (outcome: ReturnType<typeof averagedLandmarks>) => {
  if (!outcome.ok) throw new Error(outcome.detail);
  return outcome.value;
};

describe('law', () => {
  it('copies show what they say they show: a place and its way back have one colour, at every size and turn', () => {
    for (const [apart, roll] of [
      [70, 0],
      [100, -0.3],
      [230, 0.2],
      [400, 0.05],
    ]) {
      const side = Math.round(5 * apart);
      const photo = placeColours(side, side);
      const copies = shiftedCopies(photo, landmarksAt(side / 2, side / 2 - 0.3 * apart, apart, roll));
      expect(copies).toHaveLength(8);
      const wrong = copies.flatMap((copy, n) => {
        const { width, data } = copy.picture;
        const centres = new Float64Array(3 * COUNT);
        const pixels: number[] = [];
        for (let i = 0; i < COUNT; i++) {
          const [x, y] = [Math.floor(width * (0.2 + 0.6 * ((i * 0.618) % 1))), Math.floor(width * (0.2 + (0.6 * i) / COUNT))];
          pixels.push(y * width + x);
          centres.set([x + 0.5, y + 0.5, 0], 3 * i);
        }
        const back = copy.back(centres);
        const { names } = wayBack(copy);
        // Two roundings to a code lie between: one code at most, and no bias. A pixel is 0.5 to 0.9 codes wide.
        const difference = (k: number) =>
          pixels.map((pixel, i) => 255 * (back[3 * (names ? names[i] : i) + k] / side) - data[3 * pixel + k]);
        return [0, 1].flatMap((k) => {
          const far = difference(k);
          const bias = far.reduce((sum, d) => sum + d, 0) / COUNT;
          return Math.max(...far.map(Math.abs)) > 1 || Math.abs(bias) > 0.08 ? [`copy ${n}: bias ${bias} codes`] : [];
        });
      });
      expect(wrong).toEqual([]);
    }
  });

  it('copies hold 55 to 110 px between the pupils, however large the photograph', () => {
    for (const apart of [56, 109, 111, 300]) {
      const photo = placeColours(5 * apart, 5 * apart);
      const truth = landmarksAt(2.5 * apart, 2.2 * apart, apart);
      for (const copy of shiftedCopies(photo, truth)) {
        const inside = pupilDistance(intoCopy(copy, truth));
        expect(inside).toBeGreaterThan(55 * 0.94);
        expect(inside).toBeLessThan(110 * 1.06);
        expect(copy.picture.width).toBeLessThan(4.4 * 110 + 1);
      }
    }
  });

  const photo = placeColours(300, 300);
  const truth = landmarksAt(150, 130, 56);
  /** The part of the stated uncertainty that stands for another photograph, px. */
  const FLOOR = 0.001 * 56;

  it('gives back the truth of an engine without error, with no more uncertainty than another photograph brings', () => {
    const { landmarks, uPx, copies } = value(
      averagedLandmarks(
        knowing(photo, truth, () => 0),
        photo,
        truth,
      ),
    );
    expect(Math.max(...landmarks.map((v, k) => (k % 3 === 2 ? 0 : Math.abs(v - truth[k]))))).toBeLessThan(1e-9);
    for (const u of uPx) expect(u).toBeCloseTo(FLOOR, 9);
    expect(copies).toBe(8);
  });

  it('is not moved sideways by an engine that reads too far to one side', () => {
    const { landmarks } = value(
      averagedLandmarks(
        knowing(photo, truth, (_, k) => (k % 3 === 0 ? 0.4 : 0)),
        photo,
        truth,
      ),
    );
    const across = landmarks.map((v, k) =>
      k % 3 === 0 ? Math.cos(0.1) * (v - truth[k]) + Math.sin(0.1) * (landmarks[k + 1] - truth[k + 1]) : 0,
    );
    expect(Math.max(...across.map(Math.abs))).toBeLessThan(0.4 * 0.01);
  });

  it('states the uncertainty that is seen when the engine wanders by chance', () => {
    const random = randomFrom(20);
    const wandering = knowing(photo, truth, () => 0.3 * random.normal());
    const trials = Array.from({ length: 24 }, () => value(averagedLandmarks(wandering, photo, truth)));
    let seen = 0;
    let stated = 0;
    for (const { landmarks, uPx } of trials) {
      for (let i = 0; i < COUNT; i++) {
        seen += ((landmarks[3 * i] - truth[3 * i]) ** 2 + (landmarks[3 * i + 1] - truth[3 * i + 1]) ** 2) / 2;
        stated += uPx[i] ** 2 - FLOOR ** 2;
      }
    }
    // 22,944 errors of the mean: 0.5 per cent of chance. The copies' scales, e^0.05 and e^-0.05, add 0.25 %.
    expect(Math.sqrt(stated / seen)).toBeGreaterThan(0.97);
    expect(Math.sqrt(stated / seen)).toBeLessThan(1.03);
  });

  it('states more for the landmarks that wander more, and more when a copy is missing', () => {
    const random = randomFrom(21);
    const uneven = (_: number, k: number) => (k < 3 * 100 ? 1 : 0.1) * random.normal();
    const { uPx } = value(averagedLandmarks(knowing(photo, truth, uneven), photo, truth));
    const rms = (from: number, to: number) => Math.sqrt(uPx.subarray(from, to).reduce((sum, u) => sum + u * u, 0) / (to - from));
    expect(rms(0, 100)).toBeGreaterThan(1.3 * rms(100, COUNT));

    const seven = knowing(photo, truth, () => 0);
    let call = 0;
    const gap: FaceEngine = { detect: (raster) => seven.detect(raster).slice(call++ === 3 ? 1 : 0) };
    expect(value(averagedLandmarks(gap, photo, truth)).copies).toBe(7);
  });
});

/** The photograph taken again: another framing, exposure, white balance and focus, and camera noise. `x`, `y`: its pixels in the first. */
function takenAgain(photo: Raster, random: Random): { photo: Raster; back: (landmarks: Float64Array) => Float64Array } {
  const between = (from: number, to: number): number => from + (to - from) * random.uniform();
  const width = Math.round(photo.width * 0.85);
  const height = Math.round(photo.height * 0.85);
  const scale = Math.exp(between(-0.12, 0.12));
  const turn = between(-0.07, 0.07);
  const [cos, sin] = [scale * Math.cos(turn), scale * Math.sin(turn)];
  const [cx, cy] = [photo.width / 2 + between(-20, 20), photo.height / 2 + between(-20, 20)];
  const place = (x: number, y: number): [number, number] => [
    cx + cos * (x - width / 2) - sin * (y - height / 2),
    cy + sin * (x - width / 2) + cos * (y - height / 2),
  ];
  const xs = new Float64Array(width * height);
  const ys = new Float64Array(width * height);
  for (let i = 0; i < xs.length; i++) [xs[i], ys[i]] = place((i % width) + 0.5, Math.floor(i / width) + 0.5);
  const drawn = gaussianBlur(resample(photo, xs, ys, width, height, 'bilinear', 'edge'), between(0.4, 1));
  const gain = Math.exp(between(-0.25, 0.25));
  const balance = [between(0.95, 1.05), 1, between(0.95, 1.05)].map((b) => b * gain);
  const data = drawn.data.map((v, i) => {
    const light = Math.max(0, v * balance[i % 3]);
    return Math.min(1, light + 0.006 * Math.sqrt(light) * random.normal());
  });
  const back = (landmarks: Float64Array): Float64Array => {
    const out = landmarks.slice();
    for (let i = 0; i < out.length; i += 3) [out[i], out[i + 1]] = place(landmarks[i], landmarks[i + 1]);
    return out;
  };
  return { photo: { ...drawn, data }, back };
}

const faces = [...photographs('composite').slice(0, 2), ...photographs('lisa').slice(0, 1)];

describe('oracle: real faces photographed again by arithmetic', () => {
  let engine: FaceEngine;
  beforeAll(async () => {
    engine = await openEngine();
  });

  it.skipIf(!faces.length)(`scatter less than half as much as one call, and no more than stated${NEEDS_FACES}`, async () => {
    const random = randomFrom(5);
    const rows: { oneCall: number; mean: number; stated: number }[] = [];
    for (const path of faces) {
      const photo = linear(await picture(path, 560));
      const before = photo.data.slice();
      const single: Float64Array[] = [];
      const means: Float64Array[] = [];
      let stated = 0;
      let apart = 0;
      for (let k = 0; k < 4; k++) {
        const again = takenAgain(photo, random);
        const [rough] = engine.detect(srgb8FromLinear(again.photo));
        const { landmarks, uPx } = value(averagedLandmarks(engine, again.photo, rough.landmarks));
        single.push(again.back(rough.landmarks));
        means.push(again.back(landmarks));
        apart = pupilDistance(means[0]);
        const scale = apart / pupilDistance(landmarks);
        stated += uPx.reduce((sum, u) => sum + (u * scale) ** 2, 0) / COUNT / 4;
      }
      expect(photo.data).toEqual(before);
      rows.push({ oneCall: scatter(single) / apart, mean: scatter(means) / apart, stated: Math.sqrt(stated) / apart });
    }
    for (const { oneCall, mean, stated } of rows) {
      expect(mean).toBeLessThan(oneCall / 2);
      expect(mean).toBeLessThan(stated);
      expect(mean).toBeGreaterThan(stated / 4);
      expect(mean).toBeLessThan(0.002);
    }
  });

  it.skipIf(!faces.length)(`are the same bits from the same photograph${NEEDS_FACES}`, async () => {
    const shown = await picture(faces[0], 700);
    const [rough] = engine.detect(shown);
    const photo = linear(shown);
    const once = averagedLandmarks(engine, photo, rough.landmarks);
    engine.detect(await picture(faces[1], 300));
    expect(averagedLandmarks(engine, photo, rough.landmarks)).toEqual(once);
  });

  it.skipIf(!faces.length)(`do not depend on rough landmarks that are a few per cent off${NEEDS_FACES}`, async () => {
    const shown = await picture(faces[0], 700);
    const [rough] = engine.detect(shown);
    const photo = linear(shown);
    const apart = pupilDistance(rough.landmarks);
    const { landmarks } = value(averagedLandmarks(engine, photo, rough.landmarks));
    const off = enlarged(rough.landmarks, 1).map((v, k) => (k % 3 === 2 ? v : v * 1.005 + 0.03 * apart));
    const moved = value(averagedLandmarks(engine, photo, off)).landmarks;
    expect(scatter([landmarks, moved]) / apart).toBeLessThan(0.002);
  });
});

/** Root mean square of one coordinate about the mean of several, px. */
function scatter(several: readonly Float64Array[]): number {
  let sum = 0;
  for (let i = 0; i < COUNT; i++) {
    for (const k of [3 * i, 3 * i + 1]) {
      const mean = several.reduce((s, one) => s + one[k], 0) / several.length;
      for (const one of several) sum += (one[k] - mean) ** 2;
    }
  }
  return Math.sqrt(sum / (2 * COUNT * (several.length - 1)));
}

describe('refusal', () => {
  const photo = placeColours(400, 400);
  const truth = landmarksAt(200, 180, 70);

  it('says in how many copies the face was seen when it is barely recognised', () => {
    const known = knowing(photo, truth, () => 0);
    let call = 0;
    const shy: FaceEngine = { detect: (raster) => known.detect(raster).slice(call++ % 2) };
    expect(averagedLandmarks(shy, photo, truth)).toMatchObject({
      ok: false,
      why: 'no-face',
      detail: expect.stringContaining('only 4 of 8 shifted copies'),
    });
  });

  it('does not take a face beside for the face', () => {
    const beside: FaceEngine = { detect: (raster) => [{ landmarks: landmarksAt(0.95 * raster.width, 0.5 * raster.width, 70) }] };
    expect(averagedLandmarks(beside, photo, truth)).toMatchObject({ ok: false, why: 'no-face' });
  });

  it('throws on rough landmarks of the wrong length', () => {
    const nobody: FaceEngine = { detect: () => [] };
    expect(() => averagedLandmarks(nobody, photo, new Float64Array(10))).toThrow('rough landmarks need 1434 numbers, got 10');
  });
});
