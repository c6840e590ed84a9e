/**
 * The colour of every sample: skin, lips, hair, eyes and cloth under the lamps.
 *
 * Frame   camera; linear sRGB radiance, 1 is a white surface under full light.
 * Model   diffuse light that goes a little way under the skin: the red part sees a smoother surface and a softer edge of
 *         shade than the blue (blended normals). Shine is in shine.ts.
 */
import { ATTRIBUTE as A, STRIDE } from './attributes.ts';
import { TILE_PER_UV, TILE_SIZE } from './detail.ts';
import { eyeColour } from './eyes.ts';
import { hairOverSkin } from './hair.ts';
import { PART } from './head-topology.ts';
import { ambientTerms, softCosine, towards } from './light.ts';
import { COLLAR_Y } from './neck.ts';
import type { Scene } from './scene.ts';
import { lobe, strandShine } from './shine.ts';
import { BASE, BLOOD, MELANIN, melaninOf } from './skin.ts';
import { sampleDecal, sampleTile } from './texture-lookup.ts';
import type { PhantomSpec } from './types.ts';
import type { Seen } from './z-buffer.ts';

/** How much of the relief each channel sees, and how much softer its edge of shade is. */
const RELIEF_SEEN = [0.3, 0.6, 0.8] as const;
const SHADE_SOFTER = [0.28, 0.1, 0.04] as const;
/** Slope of the relief, rms, at strength 1. */
const RELIEF_SLOPE = 0.085;
/** Plain shirts. */
const CLOTHS = [
  [0.1, 0.12, 0.14],
  [0.16, 0.15, 0.13],
  [0.05, 0.07, 0.1],
  [0.13, 0.09, 0.09],
  [0.09, 0.12, 0.1],
] as const;
const BACKGROUND = [0.2, 0.235, 0.27] as const;

export type ShadeInput = Readonly<{
  spec: PhantomSpec;
  scene: Scene;
  seen: Seen;
  decal: Float32Array;
  tile: Float32Array;
  focal: number;
  centre: readonly [number, number];
  gain: number;
}>;

/** (height, width, 3) linear. */
export function shade({ spec, scene, seen, decal, tile, focal, centre, gain }: ShadeInput): Float32Array {
  const { width, height } = seen;
  const out = new Float32Array(3 * width * height);
  const { skin, seed } = spec.identity;
  const lamps = spec.light.lamps.map((lamp) => ({
    to: towards(lamp),
    half: Math.sin((lamp.radiusDeg * Math.PI) / 180),
    power: lamp.power,
    rough: lamp.radiusDeg / 90,
  }));
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
  const cloth = CLOTHS[seed % CLOTHS.length];
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
      const ia = triangles[3 * t] * STRIDE;
      const ib = triangles[3 * t + 1] * STRIDE;
      const ic = triangles[3 * t + 2] * STRIDE;
      for (let k = 0; k < STRIDE; k++) a[k] = wa * attributes[ia + k] + wb * attributes[ib + k] + wc * attributes[ic + k];
      unit(a, 0);
      const z = seen.depth[at];
      let vx = -((x + 0.5 - centre[0]) / focal) * z;
      let vy = -((y + 0.5 - centre[1]) / focal) * z;
      let vz = -z;
      const far = Math.sqrt(vx * vx + vy * vy + vz * vz);
      vx /= far;
      vy /= far;
      vz /= far;
      const which = part[t];
      let shine = 0.5;
      let rough = 0.42;
      let hairy = 0;
      let bumpy = RELIEF_SLOPE * skin.relief;
      sampleTile(tile, a[A.u] * TILE_PER_UV + shift[0], a[A.v] * TILE_PER_UV + shift[1], fine);
      if (which === PART.eye) {
        eyeColour(a[A.free], a[A.free + 1], a[A.free + 2], a[A.u], skin.iris, tile, rgb);
        for (let c = 0; c < 3; c++) rgb[c] *= a[A.melanin] * (1 - 0.45 * skin.tone);
        // the cornea stands out: its normal leans outwards faster than the ball's
        const lean = a[A.free] * a[A.free] + a[A.free + 1] * a[A.free + 1] < 41 ? 0.06 : 0;
        for (let k = 0; k < 3; k++) n[k] = a[k] + lean * (a[A.free] * rotation[3 * k] + a[A.free + 1] * rotation[3 * k + 1]);
        unit(n, 0);
        shine = 1.8;
        rough = 0.13;
        bumpy = 0;
      } else if (which === PART.mouth) {
        rgb[0] = 0.2;
        rgb[1] = 0.07;
        rgb[2] = 0.06;
        n[0] = a[0];
        n[1] = a[1];
        n[2] = a[2];
        shine = 0.2;
      } else if (which === PART.neck && a[A.around] < COLLAR_Y) {
        const weave = 1 + 0.12 * fine[2];
        for (let c = 0; c < 3; c++) rgb[c] = cloth[c] * weave;
        n[0] = a[0];
        n[1] = a[1];
        n[2] = a[2];
        shine = 0;
      } else {
        let melanin = ownMelanin * (a[A.melanin] + 0.024 * fine[2]) + 0.01 * fine[2];
        let blood = a[A.blood] + 0.13 * fine[3];
        if (which === PART.face) sampleDecal(decal, a[A.u], a[A.v], drawn);
        else drawn.fill(0);
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
        n[0] = a[0];
        n[1] = a[1];
        n[2] = a[2];
        if (which === PART.skull) hairy = hairOverSkin(a[A.around], a[A.fromRim], a[A.v], tile, hairRgb, rgb);
        else hairy = 0;
        if (hairy > 0) bumpy *= 1 - hairy;
      }
      // relief: lean the normal against the slope
      let bx = n[0];
      let by = n[1];
      let bz = n[2];
      if (bumpy > 0) {
        const tx = a[A.tangent];
        const ty = a[A.tangent + 1];
        const tz = a[A.tangent + 2];
        const su = bumpy * fine[0];
        const sv = bumpy * fine[1];
        // v grows downwards: normal x tangent points up the face
        bx += sv * (n[1] * tz - n[2] * ty) - su * tx;
        by += sv * (n[2] * tx - n[0] * tz) - su * ty;
        bz += sv * (n[0] * ty - n[1] * tx) - su * tz;
        const size = Math.sqrt(bx * bx + by * by + bz * bz);
        bx /= size;
        by /= size;
        bz /= size;
      }
      const around = a[A.ambient];
      const ambientSmooth = Math.max(0, ambient.c0 - (2 / 3) * (ambient.up * n[1] + ambient.front * n[2]));
      const ambientRough = Math.max(0, ambient.c0 - (2 / 3) * (ambient.up * by + ambient.front * bz));
      for (let c = 0; c < 3; c++)
        light[c] = (ambientSmooth + RELIEF_SEEN[c] * (ambientRough - ambientSmooth)) * (c === 0 ? around * (1.2 - 0.2 * around) : around);
      let gloss = 0;
      const grazing = 1 - Math.max(0, bx * vx + by * vy + bz * vz);
      const fresnelEdge = grazing * grazing * grazing * grazing * grazing;
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
        if (roughCos > 0 && shine > 0 && hairy < 1)
          gloss += reach * lobe(bx, by, bz, to, vx, vy, vz, roughCos, rough + lamps[k].rough * 0.5) * (1 - hairy);
        if (hairy > 0) {
          const strands =
            reach * hairy * strandShine(a[A.free], a[A.free + 1], a[A.free + 2], to, vx, vy, vz) * Math.max(0, smoothCos + 0.2);
          for (let c = 0; c < 3; c++) light[c] += strands;
        }
      }
      gloss = gloss * shine + shine * ((which === PART.eye ? 0.0015 : 0.006) + 0.02 * fresnelEdge) * ambientSmooth * around;
      for (let c = 0; c < 3; c++) out[3 * at + c] = (rgb[c] * light[c] + gloss) * warm[c] * gain;
    }
  return out;
}

function unit(v: Float64Array | number[], at: number): void {
  const size = Math.sqrt(v[at] * v[at] + v[at + 1] * v[at + 1] + v[at + 2] * v[at + 2]) || 1;
  v[at] /= size;
  v[at + 1] /= size;
  v[at + 2] /= size;
}
