/**
 * The colour of every sample: skin, lips, hair, eyes and cloth under the lamps.
 *
 * Frame   camera; linear sRGB radiance, 1 is a white surface under full light.
 * Model   diffuse light that goes a little way under the skin: the red part sees a smoother surface and a softer edge of
 *         shade than the blue (blended normals). Shine is a microfacet lobe (Walter et al., EGSR 2007) with Schlick's Fresnel term.
 */
import { ATTRIBUTE as A, type Scene, STRIDE } from './scene.ts';
import { COLLAR_Y } from './neck.ts';
import { DECAL_SIZE } from './decal.ts';
import { TILE_PER_UV, TILE_SIZE } from './detail.ts';
import { ambientTerms, softCosine, towards } from './light.ts';
import { hairlineAt } from './hair.ts';
import { PART } from './head-topology.ts';
import { BASE, BLOOD, MELANIN, melaninOf } from './skin.ts';
import { IRIS_DIAMETER_MM } from './eyes.ts';
import type { PhantomSpec } from './types.ts';
import type { Seen } from './z-buffer.ts';

/** How much of the relief each channel sees, and how much softer its edge of shade is. */
const RELIEF_SEEN = [0.3, 0.6, 0.8] as const;
const SHADE_SOFTER = [0.28, 0.1, 0.04] as const;
/** Slope of the relief, rms, at strength 1. */
const RELIEF_SLOPE = 0.085;
const BACKGROUND = [0.2, 0.235, 0.27] as const;

export type ShadeInput = Readonly<{ spec: PhantomSpec; scene: Scene; seen: Seen; decal: Float32Array; tile: Float32Array; focal: number; centre: readonly [number, number]; gain: number }>;

/** (height, width, 3) linear. */
export function shade({ spec, scene, seen, decal, tile, focal, centre, gain }: ShadeInput): Float32Array {
  const { width, height } = seen;
  const out = new Float32Array(3 * width * height);
  const { skin, seed } = spec.identity;
  const lamps = spec.light.lamps.map((lamp) => ({ to: towards(lamp), half: Math.sin((lamp.radiusDeg * Math.PI) / 180), power: lamp.power, rough: lamp.radiusDeg / 90 }));
  const ambient = ambientTerms(spec.light.ambient);
  const warm = [spec.light.warmth.red, 1, spec.light.warmth.blue];
  const ownMelanin = melaninOf(skin.tone);
  const shift = [(seed * 373) % TILE_SIZE, (seed * 211) % TILE_SIZE];
  const a = new Float64Array(STRIDE);
  const fine = new Float64Array(4);
  const drawn = new Float64Array(4);
  const n = [0, 0, 0];
  const rgb = [0, 0, 0];
  const light = [0, 0, 0];
  const { triangles, attributes, part, rotation } = scene;
  const [exX, exY, exZ] = [rotation[0], rotation[3], rotation[6]];
  const [eyX, eyY, eyZ] = [rotation[1], rotation[4], rotation[7]];
  const hairRgb = [0.018 + 0.3 * skin.hair ** 1.5, 0.012 + 0.2 * skin.hair ** 1.6, 0.009 + 0.11 * skin.hair ** 1.8];

  for (let y = 0, at = 0; y < height; y++)
    for (let x = 0; x < width; x++, at++) {
      const t = seen.triangle[at];
      if (t < 0) {
        const fall = 1.06 - 0.22 * (y / height) - 0.1 * Math.abs(x / width - 0.45);
        for (let c = 0; c < 3; c++) out[3 * at + c] = BACKGROUND[c] * fall * warm[c];
        continue;
      }
      const wb = seen.weights[2 * at];
      const wc = seen.weights[2 * at + 1];
      const wa = 1 - wb - wc;
      const [ia, ib, ic] = [triangles[3 * t] * STRIDE, triangles[3 * t + 1] * STRIDE, triangles[3 * t + 2] * STRIDE];
      for (let k = 0; k < STRIDE; k++) a[k] = wa * attributes[ia + k] + wb * attributes[ib + k] + wc * attributes[ic + k];
      unit(a, 0);
      const z = seen.depth[at];
      let vx = -((x + 0.5 - centre[0]) / focal) * z;
      let vy = -((y + 0.5 - centre[1]) / focal) * z;
      let vz = -z;
      const far = Math.hypot(vx, vy, vz);
      vx /= far; vy /= far; vz /= far;
      const which = part[t];
      let shine = 0.5;
      let rough = 0.42;
      let hairy = 0;
      let bumpy = RELIEF_SLOPE * skin.relief;
      sampleTile(tile, a[A.u] * TILE_PER_UV + shift[0], a[A.v] * TILE_PER_UV + shift[1], fine);
      if (which === PART.eye) {
        eyeColour(a, skin.iris, tile, rgb);
        for (let c = 0; c < 3; c++) rgb[c] *= a[A.melanin] * (1 - 0.4 * skin.tone);
        // the cornea stands out: its normal leans outwards faster than the ball's
        const r = Math.hypot(a[A.free], a[A.free + 1]);
        const lean = r < 6.4 ? 0.06 : 0;
        for (let k = 0; k < 3; k++) n[k] = a[k] + lean * (a[A.free] * [exX, exY, exZ][k] + a[A.free + 1] * [eyX, eyY, eyZ][k]);
        unit(n, 0);
        shine = 2.2;
        rough = 0.13;
        bumpy = 0;
      } else if (which === PART.mouth) {
        rgb[0] = 0.2; rgb[1] = 0.07; rgb[2] = 0.06;
        n[0] = a[0]; n[1] = a[1]; n[2] = a[2];
        shine = 0.2;
      } else if (which === PART.neck && a[A.around] < COLLAR_Y) {
        const weave = 1 + 0.12 * fine[2];
        rgb[0] = 0.1 * weave; rgb[1] = 0.12 * weave; rgb[2] = 0.14 * weave;
        n[0] = a[0]; n[1] = a[1]; n[2] = a[2];
        shine = 0;
      } else {
        let melanin = ownMelanin * (a[A.melanin] + 0.035 * fine[2]) + 0.01 * fine[2];
        let blood = a[A.blood] + 0.13 * fine[3];
        drawn.fill(0);
        if (which === PART.face) sampleDecal(decal, a[A.u], a[A.v], drawn);
        const lip = drawn[1];
        melanin = melanin * (1 - 0.22 * lip) + 0.1 * lip + 0.55 * drawn[3] * (0.5 + 0.5 * ownMelanin);
        blood += 2.3 * lip;
        if (lip > 0) bumpy *= 1 + 0.2 * lip;
        for (let c = 0; c < 3; c++) rgb[c] = Math.exp(-(BASE[c] + MELANIN[c] * melanin + BLOOD[c] * blood)) * (1 - 0.93 * drawn[2]);
        shine = (0.35 + 0.65 * a[A.oil]) * (1 - 0.9 * drawn[2]) + 0.35 * lip;
        shine *= 1 - 0.3 * skin.tone;
        rough = 0.46 - 0.06 * a[A.oil] - 0.12 * lip;
        hairy = drawn[0];
        if (hairy > 0) {
          for (let c = 0; c < 3; c++) rgb[c] += hairy * (hairRgb[c] * 0.9 - rgb[c]);
          shine *= 1 - 0.7 * hairy;
        }
        n[0] = a[0]; n[1] = a[1]; n[2] = a[2];
        if (which === PART.skull) hairy = hairOverSkin(a, tile, hairRgb, rgb);
        else hairy = 0;
        if (hairy > 0) bumpy *= 1 - hairy;
      }
      // relief: lean the normal against the slope
      let [bx, by, bz] = [n[0], n[1], n[2]];
      if (bumpy > 0) {
        const [tx, ty, tz] = [a[3], a[4], a[5]];
        // v grows downwards: normal x tangent points up the face
        const [ux, uy, uz] = [n[1] * tz - n[2] * ty, n[2] * tx - n[0] * tz, n[0] * ty - n[1] * tx];
        const [su, sv] = [bumpy * fine[0], bumpy * fine[1]];
        bx += -su * tx + sv * ux; by += -su * ty + sv * uy; bz += -su * tz + sv * uz;
        const size = Math.hypot(bx, by, bz);
        bx /= size; by /= size; bz /= size;
      }
      const around = a[A.ambient];
      const ambientSmooth = Math.max(0, ambient.c0 - (2 / 3) * (ambient.up * n[1] + ambient.front * n[2]));
      const ambientRough = Math.max(0, ambient.c0 - (2 / 3) * (ambient.up * by + ambient.front * bz));
      for (let c = 0; c < 3; c++) light[c] = (ambientSmooth + RELIEF_SEEN[c] * (ambientRough - ambientSmooth)) * (c === 0 ? Math.pow(around, 0.8) : around);
      let gloss = 0;
      const fresnelEdge = (1 - Math.max(0, bx * vx + by * vy + bz * vz)) ** 5;
      for (let k = 0; k < lamps.length; k++) {
        const { to, half, power } = lamps[k];
        const reach = power * a[A.lamp + k];
        if (reach <= 0) continue;
        const smoothCos = n[0] * to[0] + n[1] * to[1] + n[2] * to[2];
        const roughCos = bx * to[0] + by * to[1] + bz * to[2];
        for (let c = 0; c < 3; c++) {
          const soft = half + SHADE_SOFTER[c];
          light[c] += reach * softCosine(smoothCos + RELIEF_SEEN[c] * (roughCos - smoothCos), soft);
        }
        if (roughCos > 0 && shine > 0 && hairy < 1) gloss += reach * lobe(bx, by, bz, to, vx, vy, vz, roughCos, rough + lamps[k].rough * 0.5) * (1 - hairy);
        if (hairy > 0) {
          const strands = reach * hairy * strandShine(a, to, vx, vy, vz) * Math.max(0, smoothCos + 0.2);
          for (let c = 0; c < 3; c++) light[c] += strands;
        }
      }
      gloss = gloss * shine + shine * 0.02 * (0.3 + 8 * fresnelEdge * 0.12) * ambientSmooth * around;
      for (let c = 0; c < 3; c++) out[3 * at + c] = (rgb[c] * light[c] + gloss) * warm[c] * gain;
    }
  return out;
}

function unit(v: Float64Array | number[], at: number): void {
  const size = Math.hypot(v[at], v[at + 1], v[at + 2]) || 1;
  v[at] /= size; v[at + 1] /= size; v[at + 2] /= size;
}

/** Reflected share of a lamp's light, for reflectance 0.028 head-on. */
function lobe(nx: number, ny: number, nz: number, to: readonly number[], vx: number, vy: number, vz: number, nl: number, roughness: number): number {
  let [hx, hy, hz] = [to[0] + vx, to[1] + vy, to[2] + vz];
  const size = Math.hypot(hx, hy, hz);
  hx /= size; hy /= size; hz /= size;
  const nh = Math.max(0, nx * hx + ny * hy + nz * hz);
  const nv = Math.max(0.05, nx * vx + ny * vy + nz * vz);
  const vh = Math.max(0, vx * hx + vy * hy + vz * hz);
  const a2 = roughness ** 4;
  const d = a2 / (Math.PI * (nh * nh * (a2 - 1) + 1) ** 2);
  const k = (roughness + 1) ** 2 / 8;
  const shadowing = 1 / ((nl * (1 - k) + k) * (nv * (1 - k) + k));
  const fresnel = 0.028 + 0.972 * (1 - vh) ** 5;
  // times pi: lamp powers carry Lambert's pi
  return (Math.PI * d * fresnel * shadowing * nl) / 4;
}

/** Highlight of a strand, in its own colour (Kajiya & Kay, SIGGRAPH 1989). */
function strandShine(a: Float64Array, to: readonly number[], vx: number, vy: number, vz: number): number {
  let [hx, hy, hz] = [to[0] + vx, to[1] + vy, to[2] + vz];
  const size = Math.hypot(hx, hy, hz);
  hx /= size; hy /= size; hz /= size;
  const along = a[A.free] * hx + a[A.free + 1] * hy + a[A.free + 2] * hz;
  return 2.2 * Math.max(0, 1 - along * along) ** 24;
}

/** Lays hair over the skin in `rgb`; returns its share of the sample, 0..1. */
function hairOverSkin(a: Float64Array, tile: Float32Array, hair: readonly number[], rgb: number[]): number {
  // `around` jumps from 36 to 0 under the chin, where no hair grows
  const beyond = a[A.v] > 0.93 ? -99 : a[A.fromRim] - hairlineAt(a[A.around]);
  if (beyond < -14) return 0;
  // strands: fast across, slow along
  const across = a[A.around] * 95;
  const strand = tileChannel(tile, across * 1.0 + 0.35 * a[A.fromRim], a[A.fromRim] * 0.35, 2) * 0.6 + tileChannel(tile, across * 2.3, a[A.fromRim] * 0.22 + 300, 3) * 0.4;
  const cover = Math.min(1, Math.max(0, 0.5 + beyond / 9 + 0.32 * strand));
  const lock = 1 + 0.3 * strand;
  for (let c = 0; c < 3; c++) rgb[c] += cover * (hair[c] * Math.max(0.35, lock) - rgb[c]);
  return cover;
}

function eyeColour(a: Float64Array, blue: number, tile: Float32Array, rgb: number[]): void {
  const [x, y, z] = [a[A.free], a[A.free + 1], a[A.free + 2]];
  const r = Math.hypot(x, y);
  const iris = IRIS_DIAMETER_MM / 2;
  const medial = a[A.u] * x;
  const pink = Math.min(1, Math.max(0, (medial - 9.2) / 2.6));
  const red = 0.08 * Math.min(1, Math.max(0, (Math.abs(x) - 6) / 6));
  rgb[0] = 0.46 + pink * (0.36 - 0.46);
  rgb[1] = 0.42 * (1 - red) + pink * (0.18 - 0.42);
  rgb[2] = 0.39 * (1 - red) + pink * (0.15 - 0.39);
  if (z <= 0 || r > iris + 0.5) return;
  const angle = Math.atan2(y, x);
  const fibre = tileChannel(tile, angle * 60, r * 5, 2) * 0.5 + tileChannel(tile, angle * 130, r * 3 + 200, 3) * 0.5;
  const light = [0.03 + 0.1 * (1 - blue) ** 2 * 0.9 + 0.1 * blue, 0.016 + 0.05 * (1 - blue) ** 2 + 0.16 * blue, 0.01 + 0.02 * (1 - blue) + 0.24 * blue];
  const inner = Math.min(1, Math.max(0, (r - 1.7) / 0.35));
  const limbus = 1 - 0.65 * Math.min(1, Math.max(0, (r - 4.9) / 0.85));
  const edge = Math.min(1, Math.max(0, (iris + 0.35 - r) / 0.55));
  for (let c = 0; c < 3; c++) {
    const colour = 0.004 + inner * light[c] * (1 + 0.28 * fibre) * limbus * (0.75 + 0.35 * Math.exp(-(((r - 2.6) / 1) ** 2)));
    rgb[c] += edge * (colour - rgb[c]);
  }
}

function sampleTile(tile: Float32Array, x: number, y: number, into: Float64Array): void {
  const [i, j] = [Math.floor(x), Math.floor(y)];
  const [fx, fy] = [x - i, y - j];
  const mask = TILE_SIZE - 1;
  const [r0, r1] = [(j & mask) * TILE_SIZE, ((j + 1) & mask) * TILE_SIZE];
  const [c0, c1] = [i & mask, (i + 1) & mask];
  for (let k = 0; k < 4; k++)
    into[k] = (1 - fy) * ((1 - fx) * tile[4 * (r0 + c0) + k] + fx * tile[4 * (r0 + c1) + k]) + fy * ((1 - fx) * tile[4 * (r1 + c0) + k] + fx * tile[4 * (r1 + c1) + k]);
}

function tileChannel(tile: Float32Array, x: number, y: number, k: number): number {
  const [i, j] = [Math.floor(x), Math.floor(y)];
  const [fx, fy] = [x - i, y - j];
  const mask = TILE_SIZE - 1;
  const [r0, r1] = [(j & mask) * TILE_SIZE, ((j + 1) & mask) * TILE_SIZE];
  const [c0, c1] = [i & mask, (i + 1) & mask];
  return (1 - fy) * ((1 - fx) * tile[4 * (r0 + c0) + k] + fx * tile[4 * (r0 + c1) + k]) + fy * ((1 - fx) * tile[4 * (r1 + c0) + k] + fx * tile[4 * (r1 + c1) + k]);
}

function sampleDecal(decal: Float32Array, u: number, v: number, into: Float64Array): void {
  const [x, y] = [u * DECAL_SIZE - 0.5, v * DECAL_SIZE - 0.5];
  const [i, j] = [Math.floor(x), Math.floor(y)];
  if (i < 0 || j < 0 || i >= DECAL_SIZE - 1 || j >= DECAL_SIZE - 1) return;
  const [fx, fy] = [x - i, y - j];
  const p = 4 * (j * DECAL_SIZE + i);
  const q = p + 4 * DECAL_SIZE;
  for (let k = 0; k < 4; k++) into[k] = (1 - fy) * ((1 - fx) * decal[p + k] + fx * decal[p + 4 + k]) + fy * ((1 - fx) * decal[q + k] + fx * decal[q + 4 + k]);
}
