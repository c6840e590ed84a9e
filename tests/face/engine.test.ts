import { spawnSync } from 'node:child_process';
import net from 'node:net';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { ENGINE_VERSION, engineModels, type FaceEngine, openEngine } from '#lib/face/engine.ts';
import { type EngineParts, startLandmarkEngine } from '#lib/face/landmark-engine.ts';
import type { Srgb8Raster } from '#lib/photo/types.ts';
import { NEEDS_FACES, photographs, picture, talkingFrames } from '#tests/face/photographs.ts';

const faces = photographs('composite');
const frames = talkingFrames();
const grey = (width: number, height: number): Srgb8Raster => ({
  encoding: 'srgb8',
  width,
  height,
  data: new Uint8Array(3 * width * height).fill(128),
});

/** Two pictures of one height beside each other. */
function sideBySide(a: Srgb8Raster, b: Srgb8Raster): Srgb8Raster {
  const both = grey(a.width + b.width, a.height);
  for (let y = 0; y < a.height; y++) {
    both.data.set(a.data.subarray(3 * y * a.width, 3 * (y + 1) * a.width), 3 * y * both.width);
    both.data.set(b.data.subarray(3 * y * b.width, 3 * (y + 1) * b.width), 3 * (y * both.width + a.width));
  }
  return both;
}

/** Nothing in this file may open a connection or write to the console. */
const forbidden: string[] = [];
const forbid = (what: string) => (): never => {
  forbidden.push(what);
  throw new Error(`${what} was called`);
};
const scopeBefore = Object.keys(globalThis);
vi.stubGlobal('fetch', forbid('fetch'));
vi.stubGlobal('XMLHttpRequest', forbid('XMLHttpRequest'));
vi.spyOn(net.Socket.prototype, 'connect').mockImplementation(forbid('connect'));
const console_ = (['log', 'info', 'warn', 'error', 'debug'] as const).map((name) => vi.spyOn(console, name));

let engine: FaceEngine;
beforeAll(async () => {
  engine = await openEngine();
});
afterAll(() => vi.unstubAllGlobals());

describe('law', () => {
  it('is one engine per thread', async () => {
    expect(await openEngine()).toBe(engine);
  });

  it('finds no face in an even grey picture, whatever its shape', () => {
    for (const [width, height] of [
      [1, 1],
      [3, 400],
      [640, 480],
    ])
      expect(engine.detect(grey(width, height))).toEqual([]);
  });

  it.skipIf(!faces.length)(
    `gives the same bits for the same pixels, after other pictures too, and leaves the picture as it was${NEEDS_FACES}`,
    async () => {
      const [first, second] = await Promise.all(faces.slice(0, 2).map((path) => picture(path, 480)));
      const copy = first.data.slice();
      const once = engine.detect(first);
      expect(once).toHaveLength(1);
      expect(once[0].landmarks).toHaveLength(478 * 3);
      engine.detect(second);
      engine.detect(grey(500, 300));
      engine.detect(await picture(faces[0], 900));
      expect(engine.detect(first)).toEqual(once);
      expect(first.data).toEqual(copy);
    },
  );

  it.skipIf(!faces.length)(`finds both of two faces, the larger first${NEEDS_FACES}`, async () => {
    const large = await picture(faces[0], 480);
    const small = grey(480, 480);
    const shrunk = await picture(faces[1], 300);
    for (let y = 0; y < shrunk.height; y++)
      small.data.set(shrunk.data.subarray(3 * y * shrunk.width, 3 * (y + 1) * shrunk.width), 3 * ((y + 90) * 480 + 90));
    const found = engine.detect(sideBySide(small, large));
    expect(found).toHaveLength(2);
    expect(found[0].landmarks[0]).toBeGreaterThan(480);
    expect(found[1].landmarks[0]).toBeLessThan(480);
  });

  it.skipIf(!faces.length)(
    `puts the pixel grid where it says: a face enlarged twice has its landmarks at twice the place${NEEDS_FACES}`,
    async () => {
      const drifts = await Promise.all(
        faces.slice(0, 5).map(async (path) => {
          const small = await picture(path, 400);
          const twice = doubled(small);
          const [a] = engine.detect(small);
          const [b] = engine.detect(twice);
          return [0, 1].map((k) => mean(478, (i) => b.landmarks[3 * i + k] / 2 - a.landmarks[3 * i + k]));
        }),
      );
      // A whole-pixel convention would leave a quarter of a pixel in both, on every face.
      for (const k of [0, 1]) expect(Math.abs(mean(5, (f) => drifts[f][k]))).toBeLessThan(0.1);
    },
  );

  it.skipIf(!faces.length)(`has no side: a mirrored picture gives mirrored landmarks on average${NEEDS_FACES}`, async () => {
    const { mirroredLandmarks } = await import('#lib/face/mirror.ts');
    const twin = mirroredLandmarks();
    const offsets = await Promise.all(
      faces.map(async (path) => {
        const shown = await picture(path, 480);
        const [plain] = engine.detect(shown);
        const [mirrored] = engine.detect(flipped(shown));
        const apart = plain.landmarks[3 * 473] - plain.landmarks[3 * 468];
        return mean(478, (i) => plain.landmarks[3 * i] - (shown.width - mirrored.landmarks[3 * twin[i]])) / apart;
      }),
    );
    // Uncorrected it is 0.8 % of the pupil distance on these pictures.
    expect(Math.abs(mean(offsets.length, (i) => offsets[i]))).toBeLessThan(0.004);
  });

  it('names its version and the models it uses', () => {
    expect(ENGINE_VERSION).toBe('@mediapipe/tasks-vision 0.10.35');
    expect(Object.values(engineModels()).every((hash) => /^[0-9a-f]{64}$/.test(hash))).toBe(true);
  });

  it('says nothing on the console, opens no connection, and leaves the global scope as it was but for the loader’s own two names', () => {
    expect(forbidden).toEqual([]);
    expect(console_.flatMap((spy) => spy.mock.calls)).toEqual([]);
    const added = Object.keys(globalThis).filter((name) => !scopeBefore.includes(name));
    expect(added.filter((name) => !['custom_dbg', 'ModuleFactory', 'XMLHttpRequest'].includes(name))).toEqual([]);
  });

  it('writes nothing to either output of its process, below the console too', () => {
    const script =
      "import { openEngine } from '#lib/face/engine.ts'; const e = await openEngine(); e.detect({ encoding: 'srgb8', width: 64, height: 64, data: new Uint8Array(3 * 64 * 64) });";
    const run = spawnSync(process.execPath, ['--input-type=module', '--eval', script], { encoding: 'utf8' });
    expect({ status: run.status, stdout: run.stdout, stderr: run.stderr }).toEqual({ status: 0, stdout: '', stderr: '' });
  });
});

describe('oracle: the FGNET talking-face frames', () => {
  it.skipIf(!frames.length)('finds exactly one face in every frame', async () => {
    expect(frames.length).toBeGreaterThanOrEqual(10);
    const counts = await Promise.all(frames.map(async (path) => [path, engine.detect(await picture(path, 720)).length]));
    expect(counts.filter(([, count]) => count !== 1)).toEqual([]);
  });
});

describe('refusal', () => {
  it('throws on a raster whose size and data disagree', () => {
    expect(() => engine.detect({ ...grey(4, 4), width: 5 })).toThrow('a raster of 5 x 4 px needs 60 bytes, got 48');
    expect(() => engine.detect({ encoding: 'srgb8', width: 0, height: 4, data: new Uint8Array(0) })).toThrow(RangeError);
  });

  it('says that it did not start, and why, when the wasm is broken', async () => {
    await expect(startLandmarkEngine(await parts({ wasm: new Uint8Array(100) }))).rejects.toThrow(
      /^the landmark engine did not start: .*WebAssembly/,
    );
  });

  it('says that it did not start, and why, when the bundle is broken', async () => {
    await expect(startLandmarkEngine(await parts({ bundle: new Uint8Array(100) }))).rejects.toThrow(
      /^the landmark engine did not start: ./,
    );
  });

  it('still answers after another engine failed beside it', () => {
    expect(engine.detect(grey(64, 64))).toEqual([]);
  });
});

async function parts(broken: Partial<EngineParts>): Promise<EngineParts> {
  const { createRequire } = await import('node:module');
  const { readFileSync } = await import('node:fs');
  const { modelBundle } = await import('#lib/face/model-bundle.ts');
  const { FaceLandmarker } = await import('@mediapipe/tasks-vision');
  const loader = createRequire(import.meta.url).resolve('@mediapipe/tasks-vision/vision_wasm_module_internal.js');
  const module = (await import(/* @vite-ignore */ loader)) as { default: unknown };
  const wasm = readFileSync(loader.replace(/\.js$/, '.wasm'));
  return { FaceLandmarker, moduleFactory: module.default, wasm, bundle: modelBundle().bytes, ...broken };
}

function mean(count: number, value: (i: number) => number): number {
  let sum = 0;
  for (let i = 0; i < count; i++) sum += value(i);
  return sum / count;
}

/** Each pixel becomes four: the same picture on a finer grid, to the last bit. */
function doubled(from: Srgb8Raster): Srgb8Raster {
  const to = grey(2 * from.width, 2 * from.height);
  for (let y = 0; y < to.height; y++)
    for (let x = 0; x < to.width; x++)
      for (let k = 0; k < 3; k++) to.data[3 * (y * to.width + x) + k] = from.data[3 * ((y >> 1) * from.width + (x >> 1)) + k];
  return to;
}

function flipped(from: Srgb8Raster): Srgb8Raster {
  const to = grey(from.width, from.height);
  for (let y = 0; y < from.height; y++)
    for (let x = 0; x < from.width; x++)
      for (let k = 0; k < 3; k++) to.data[3 * (y * from.width + x) + k] = from.data[3 * (y * from.width + from.width - 1 - x) + k];
  return to;
}
