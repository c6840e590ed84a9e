/**
 * Lashes: fine curved hairs in space, laid over the finished samples.
 *
 * Frame   roots in the head frame, mm; drawn in samples of the picture.
 */
import { randomFrom } from '#lib/stats/random.ts';
import { MIRROR_LANDMARK } from '#shared/mirror-landmark.ts';
import type { Seen } from './z-buffer.ts';

const UPPER = [133, 173, 157, 158, 159, 160, 161, 246, 33] as const;
const LOWER = [155, 154, 153, 145, 144, 163, 7] as const;
/** A lash may stand this far behind the surface it grows from and still be drawn, mm. */
const GROWS_THROUGH_MM = 1.2;

export type LashInput = Readonly<{
  radiance: Float32Array;
  seen: Seen;
  head: Float64Array;
  project: (point: readonly number[]) => readonly [number, number, number];
  samplesPerMm: number;
  rgb: readonly number[];
  seed: number;
}>;

/** Writes to `radiance`. */
export function drawLashes({ radiance, seen, head, project, samplesPerMm, rgb, seed }: LashInput): void {
  const chance = randomFrom(seed).fork('lashes');
  for (const side of [-1, 1]) {
    for (const [row, count, length, rise] of [
      [UPPER, 120, 7.5, 1],
      [LOWER, 46, 3.6, -1],
    ] as const) {
      const line = side < 0 ? row : row.map((i) => MIRROR_LANDMARK[i]);
      for (let k = 0; k < count; k++) {
        const s = (k + chance.uniform()) / count;
        const reach = length * (0.75 + 0.35 * chance.uniform()) * (0.5 + 0.55 * Math.min(1, s * 1.6)) * Math.min(1, (1.04 - s) * 8);
        lash(
          radiance,
          seen,
          curve(head, line, s, side, reach, rise, chance.normal() * 0.14).map(project),
          0.115 * samplesPerMm,
          rise > 0 ? 0.95 : 0.45,
          rgb,
        );
      }
    }
  }
}

/** From the lid's margin forwards and out, then bending away from the eye. */
function curve(
  head: Float64Array,
  line: readonly number[],
  s: number,
  side: number,
  reach: number,
  rise: number,
  stray: number,
): number[][] {
  const at = Math.min(line.length - 1.0001, s * (line.length - 1));
  const i = Math.floor(at);
  const root = [0, 1, 2].map((k) => head[3 * line[i] + k] + (at - i) * (head[3 * line[i + 1] + k] - head[3 * line[i] + k]));
  const fan = (s - 0.42) * 1.15 + stray;
  return [0, 0.25, 0.5, 0.75, 1].map((f) => {
    const bend = rise > 0 ? -0.32 + 1.5 * f : -0.9 - 0.4 * f;
    const forward = reach * f * (rise > 0 ? 0.72 - 0.25 * f : 0.6);
    const upwards = rise > 0 ? reach * f * 0.62 * bend : reach * f * 0.75 * bend;
    return [root[0] + side * fan * reach * f * 0.8, root[1] + upwards, root[2] + 0.3 + forward];
  });
}

function lash(
  radiance: Float32Array,
  seen: Seen,
  points: readonly (readonly [number, number, number])[],
  width: number,
  strength: number,
  rgb: readonly number[],
): void {
  const touched = new Map<number, number>();
  for (let p = 0; p + 1 < points.length; p++) {
    const [a, b] = [points[p], points[p + 1]];
    const steps = Math.max(1, Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / 0.6));
    for (let s = 0; s < steps; s++) {
      const t = s / steps;
      const along = (p + t) / (points.length - 1);
      const radius = Math.max(0.5, width * (1 - 0.8 * along));
      const thin = Math.min(1, (width * (1 - 0.8 * along)) / radius);
      const [x, y, z] = [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])];
      for (let j = Math.floor(y - 1.5 * radius); j <= y + 1.5 * radius; j++)
        for (let i = Math.floor(x - 1.5 * radius); i <= x + 1.5 * radius; i++) {
          if (i < 0 || j < 0 || i >= seen.width || j >= seen.height) continue;
          const at = j * seen.width + i;
          if (seen.depth[at] < z - GROWS_THROUGH_MM) continue;
          const q = ((i + 0.5 - x) ** 2 + (j + 0.5 - y) ** 2) / (radius * radius);
          touched.set(at, Math.max(touched.get(at) ?? 0, strength * thin * Math.exp(-q)));
        }
    }
  }
  for (const [at, cover] of touched) for (let c = 0; c < 3; c++) radiance[3 * at + c] += cover * (rgb[c] - radiance[3 * at + c]);
}
