/**
 * What is drawn on the face at fixed places: brows, lash line, lips, nostrils, freckles.
 *
 * Layout  (SIZE, SIZE, 4) over the uv square: hair, lip, cavity, spot; each 0..1.
 */
import { canonicalMesh } from '#lib/face/canonical-mesh.ts';
import { zoneLoopUv } from '#lib/face/zone-map.ts';
import { pointInPolygon } from '#lib/geometry/polygon.ts';
import { gaussianBlur, raster } from '#lib/photo/raster.ts';
import { type Random, randomFrom } from '#lib/stats/random.ts';
import { MIRROR_LANDMARK } from '#shared/mirror-landmark.ts';
import type { IdentitySpec } from './types.ts';

export const DECAL_SIZE = 1024;
const MM = 1 / 235;

type Layer = Float32Array;

/** The drawing for one person; it costs some 0.2 s, so the caller keeps it. */
export function decalOf({ seed, skin }: IdentitySpec): Float32Array {
  const chance = randomFrom(seed);
  const layers = [hairLayer(chance.fork('brows')), lipLayer(), cavityLayer(), spotLayer(chance.fork('spots'), skin.freckles)];
  const out = new Float32Array(4 * DECAL_SIZE * DECAL_SIZE);
  layers.forEach((layer, c) => {
    for (let i = 0; i < layer.length; i++) out[4 * i + c] = Math.min(1, Math.max(0, layer[i]));
  });
  return out;
}

const emptyLayer = (): Layer => new Float32Array(DECAL_SIZE * DECAL_SIZE);

function uvOf(i: number): [number, number] {
  const { uv } = canonicalMesh();
  return [uv![2 * i], uv![2 * i + 1]];
}

function lineAt(line: readonly number[], s: number): [number, number] {
  const at = Math.min(line.length - 1.000001, Math.max(0, s * (line.length - 1)));
  const i = Math.floor(at);
  const [a, b] = [uvOf(line[i]), uvOf(line[i + 1])];
  return [a[0] + (at - i) * (b[0] - a[0]), a[1] + (at - i) * (b[1] - a[1])];
}

/** A tapered stroke with soft sides; widths in uv. */
function stroke(layer: Layer, points: readonly (readonly [number, number])[], width: number, strength: number): void {
  const texel = width * DECAL_SIZE;
  for (let p = 0; p + 1 < points.length; p++) {
    const [ax, ay] = points[p].map((value) => value * DECAL_SIZE);
    const [bx, by] = points[p + 1].map((value) => value * DECAL_SIZE);
    const steps = Math.max(1, Math.ceil(Math.hypot(bx - ax, by - ay) / 0.5));
    for (let s = 0; s < steps; s++) {
      const along = (p + s / steps) / (points.length - 1);
      const half = texel * (1 - 0.75 * along) * Math.min(1, 0.5 + 4 * along);
      dab(layer, ax + ((bx - ax) * s) / steps, ay + ((by - ay) * s) / steps, Math.max(0.35, half), strength * 0.5);
    }
  }
}

function dab(layer: Layer, x: number, y: number, radius: number, strength: number): void {
  const reach = Math.ceil(radius * 2);
  for (let j = Math.floor(y) - reach; j <= Math.floor(y) + reach; j++)
    for (let i = Math.floor(x) - reach; i <= Math.floor(x) + reach; i++) {
      if (i < 0 || j < 0 || i >= DECAL_SIZE || j >= DECAL_SIZE) continue;
      const q = ((i + 0.5 - x) ** 2 + (j + 0.5 - y) ** 2) / (radius * radius);
      if (q > 4) continue;
      const at = j * DECAL_SIZE + i;
      layer[at] = 1 - (1 - layer[at]) * (1 - strength * Math.exp(-q));
    }
}

const BROW_LOW = [55, 65, 52, 53, 46] as const;
const BROW_HIGH = [107, 66, 105, 63, 70] as const;
const LASH_UPPER = [133, 173, 157, 158, 159, 160, 161, 246, 33] as const;
const LASH_LOWER = [155, 154, 153, 145, 144, 163, 7] as const;

function hairLayer(chance: Random): Layer {
  const layer = emptyLayer();
  for (const mirror of [false, true]) {
    const side = (line: readonly number[]): readonly number[] => (mirror ? line.map((i) => MIRROR_LANDMARK[i]) : line);
    brow(layer, side(BROW_LOW), side(BROW_HIGH), mirror ? 1 : -1, chance.fork(`brow ${mirror}`));
    lashLine(layer, side(LASH_UPPER), 0.0042, 1);
    lashLine(layer, side(LASH_LOWER), 0.002, 0.3);
  }
  return layer;
}

/** Some 750 hairs; they rise at the brow's head, lie down along its body and fall towards its tail. */
function brow(layer: Layer, low: readonly number[], high: readonly number[], outward: -1 | 1, chance: Random): void {
  for (let hair = 0; hair < 750; hair++) {
    const s = chance.uniform() ** 0.9;
    const body = Math.min(1, s / 0.1) * (1 - 0.55 * s);
    const w = 0.14 + 0.62 * body * chance.uniform();
    const [root, top] = [lineAt(low, s), lineAt(high, s)];
    const x = root[0] + w * (top[0] - root[0]);
    const y = root[1] + w * (top[1] - root[1]);
    const rise = (1 - 1.15 * s) * 1.2 - (w - 0.5) * 0.9 + 0.18 * chance.normal();
    const length = (5.5 + 3 * chance.uniform()) * MM * (1 - 0.25 * s);
    const bend = 0.5 * (w - 0.4);
    const points: [number, number][] = [0, 0.33, 0.66, 1].map((f) => {
      const angle = rise - (0.5 + bend) * f;
      return [x + outward * Math.cos(angle) * length * f, y - Math.sin(angle) * length * f];
    });
    stroke(layer, points, (0.11 + 0.06 * chance.uniform()) * MM, 0.62 + 0.25 * chance.uniform());
  }
}

function lashLine(layer: Layer, line: readonly number[], width: number, strength: number): void {
  for (let s = 0; s <= 1; s += 0.004) {
    const [x, y] = lineAt(line, s);
    dab(
      layer,
      x * DECAL_SIZE,
      y * DECAL_SIZE,
      width * DECAL_SIZE * 0.5 * (0.5 + Math.sin(Math.PI * Math.min(1, 0.15 + 0.75 * s))),
      strength * 0.35,
    );
  }
}

function lipLayer(): Layer {
  const layer = emptyLayer();
  for (const zone of ['vermilion-upper', 'vermilion-lower'] as const) fillPolygon(layer, zoneLoopUv(zone), 1);
  // the seam between the lips belongs to them
  fillPolygon(layer, Float64Array.from([78, 81, 13, 311, 308, 402, 14, 178].flatMap(uvOf)), 1);
  return gaussianBlur(raster(DECAL_SIZE, DECAL_SIZE, 1, layer), 0.75 * MM * DECAL_SIZE).data;
}

/** Pairs of landmarks on and above the upper lid, from the inner corner outwards. */
const LID_FOLD = [
  [190, 221],
  [56, 222],
  [28, 222],
  [27, 223],
  [29, 224],
  [30, 225],
  [247, 113],
] as const;
const NOSTRIL = [238, 79, 218, 166, 59, 75, 60, 20] as const;

function cavityLayer(): Layer {
  const layer = emptyLayer();
  for (const mirror of [false, true]) {
    const loop = NOSTRIL.map((i) => (mirror ? MIRROR_LANDMARK[i] : i));
    const points = loop.map(uvOf);
    const middle = [0, 1].map((k) => points.reduce((sum, p) => sum + p[k], 0) / points.length);
    fillPolygon(layer, Float64Array.from(points.flatMap((p) => p.map((value, k) => middle[k] + 0.72 * (value - middle[k])))), 1);
  }
  return gaussianBlur(raster(DECAL_SIZE, DECAL_SIZE, 1, layer), 0.7 * MM * DECAL_SIZE).data;
}

function spotLayer(chance: Random, freckles: number): Layer {
  const layer = emptyLayer();
  const count = Math.round(900 * freckles);
  for (let i = 0; i < count; i++) {
    // most on the cheeks and the nose
    const u = 0.5 + 0.2 * chance.normal();
    const v = 0.5 + 0.1 * chance.normal();
    dab(layer, u * DECAL_SIZE, v * DECAL_SIZE, (0.35 + 0.45 * chance.uniform()) * MM * DECAL_SIZE, 0.12 + 0.35 * chance.uniform() ** 2);
  }
  for (let mole = 0; mole < 4; mole++)
    dab(
      layer,
      (0.15 + 0.7 * chance.uniform()) * DECAL_SIZE,
      (0.2 + 0.65 * chance.uniform()) * DECAL_SIZE,
      (0.5 + 0.5 * chance.uniform()) * MM * DECAL_SIZE,
      0.7 * chance.uniform(),
    );
  for (const mirror of [false, true]) lidFold(layer, mirror);
  return layer;
}

/** The darker line above the upper lid. */
function lidFold(layer: Layer, mirror: boolean): void {
  const above = LID_FOLD.map(([low, high]) => {
    const [a, b] = [low, high].map((i) => uvOf(mirror ? MIRROR_LANDMARK[i] : i));
    return [a[0] + 0.35 * (b[0] - a[0]), a[1] + 0.35 * (b[1] - a[1])] as const;
  });
  for (let k = 0; k + 1 < above.length; k++)
    for (let t = 0; t < 1; t += 0.05) {
      const along = (k + t) / (above.length - 1);
      dab(
        layer,
        (above[k][0] + t * (above[k + 1][0] - above[k][0])) * DECAL_SIZE,
        (above[k][1] + t * (above[k + 1][1] - above[k][1])) * DECAL_SIZE,
        2.1,
        0.055 * Math.sin(Math.PI * (0.06 + 0.9 * along)),
      );
    }
}

function fillPolygon(layer: Layer, loop: Float64Array, value: number): void {
  const us = loop.filter((_, i) => i % 2 === 0);
  const vs = loop.filter((_, i) => i % 2 === 1);
  for (let j = Math.floor(Math.min(...vs) * DECAL_SIZE); j <= Math.max(...vs) * DECAL_SIZE; j++)
    for (let i = Math.floor(Math.min(...us) * DECAL_SIZE); i <= Math.max(...us) * DECAL_SIZE; i++)
      if (pointInPolygon(loop, (i + 0.5) / DECAL_SIZE, (j + 0.5) / DECAL_SIZE)) layer[j * DECAL_SIZE + i] = value;
}
