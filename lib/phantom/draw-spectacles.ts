/**
 * Spectacles laid over the finished samples: the shadow of the frame on the skin, the lenses, the frame.
 *
 * Frame   lines in the head frame, mm; drawn in samples of the picture.
 * Model   bars are round tubes under the lamps. A shadow falls where the lamp's direction carries a bar onto what lies behind it, as wide
 *         as bar and lamp make it. A lens dims what is behind it and mirrors a window; it does not bend the light.
 */
import { towards } from './light.ts';
import { type SpectaclesLines, spectaclesLines } from './spectacles.ts';
import type { LightSpec, SpectaclesSpec } from './types.ts';
import type { Seen } from './z-buffer.ts';

export type SpectaclesInput = Readonly<{
  radiance: Float32Array;
  seen: Seen;
  head: ArrayLike<number>;
  spectacles: SpectaclesSpec;
  light: LightSpec;
  gain: number;
  samplesPerMm: number;
  project: (point: readonly number[]) => readonly [number, number, number];
}>;

type Drawn = readonly [x: number, y: number, z: number];
/** A bar may dip this far into what it lies on, mm. */
const DIPS_IN_MM = 1.5;

/** Writes to `radiance`. */
export function drawSpectacles(input: SpectaclesInput): void {
  const lines = spectaclesLines(input.spectacles, input.head);
  const bars = lines.bars.map(({ line, thicknessMm }) => ({ line: line.map(input.project), thicknessMm }));
  castShadows(input, bars);
  drawLenses(input, lines);
  if (input.spectacles.rim === 'rimless') for (const lens of lines.lenses) drawBar(input, lens.map(input.project), 0.8, 0.3);
  for (const { line, thicknessMm } of bars) drawBar(input, line, thicknessMm, 1);
}

function castShadows(
  { radiance, seen, light, samplesPerMm }: SpectaclesInput,
  bars: readonly { line: Drawn[]; thicknessMm: number }[],
): void {
  const whole = light.ambient.above + light.ambient.front + light.ambient.below + light.lamps.reduce((sum, lamp) => sum + lamp.power, 0);
  for (const lamp of light.lamps) {
    const to = towards(lamp);
    if (to[2] > -0.2) continue;
    const dim = new Map<number, number>();
    for (const { line, thicknessMm } of bars)
      for (const [x, y, z] of alongLine(line, 1.5)) {
        const at = Math.floor(y) * seen.width + Math.floor(x);
        if (x < 0 || y < 0 || x >= seen.width || y >= seen.height) continue;
        const gap = Math.min(60, seen.depth[at] - z);
        if (!(gap > 0.5)) continue;
        const widthMm = thicknessMm + 2 * gap * Math.tan((lamp.radiusDeg * Math.PI) / 180);
        const cx = x + (to[0] / to[2]) * gap * samplesPerMm;
        const cy = y + (to[1] / to[2]) * gap * samplesPerMm;
        disc(seen, cx, cy, (widthMm / 2) * samplesPerMm, (pixel, q) => {
          dim.set(pixel, Math.max(dim.get(pixel) ?? 0, (thicknessMm / widthMm) * (1 - q)));
        });
      }
    for (const [at, share] of dim) for (let c = 0; c < 3; c++) radiance[3 * at + c] *= 1 - share * (lamp.power / whole);
  }
}

function drawLenses({ radiance, seen, spectacles, project, samplesPerMm, gain }: SpectaclesInput, { lenses }: SpectaclesLines): void {
  for (const lens of lenses) {
    const loop = lens.map(project);
    const xs = loop.map(([x]) => x);
    const ys = loop.map(([, y]) => y);
    const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
    for (let y = Math.max(0, Math.floor(top)); y < Math.min(seen.height, bottom); y++)
      for (let x = Math.max(0, Math.floor(left)); x < Math.min(seen.width, right); x++) {
        if (!within(loop, x + 0.5, y + 0.5)) continue;
        const at = y * seen.width + x;
        // a window high on the outer side, its edges soft over a millimetre
        const [u, v] = [(x - left) / (right - left) - 0.3, (y - top) / (bottom - top) - 0.3];
        const edge = Math.min(0.16 - Math.abs(u), 0.13 - Math.abs(v)) * (right - left);
        const mirrored = spectacles.glare * gain * Math.min(1, Math.max(0, 0.5 + edge / samplesPerMm));
        for (let c = 0; c < 3; c++) radiance[3 * at + c] = radiance[3 * at + c] * spectacles.clear + mirrored;
      }
  }
}

function drawBar(
  { radiance, seen, spectacles, light, gain, samplesPerMm }: SpectaclesInput,
  line: readonly Drawn[],
  thicknessMm: number,
  strength: number,
): void {
  const { rgb, shine } = spectacles;
  const radius = Math.max(0.5, (thicknessMm / 2) * samplesPerMm);
  const thin = Math.min(1, ((thicknessMm / 2) * samplesPerMm) / radius) * strength;
  const lamps = light.lamps.map((lamp) => ({ to: towards(lamp), power: lamp.power }));
  const { above, front, below } = light.ambient;
  const warm = [light.warmth.red, 1, light.warmth.blue];
  const cover = new Map<number, readonly [share: number, r: number, g: number, b: number]>();
  for (let p = 0; p + 1 < line.length; p++) {
    const [ax, ay] = line[p];
    const [dx, dy] = [line[p + 1][0] - ax, line[p + 1][1] - ay];
    const size = Math.hypot(dx, dy) || 1;
    for (const [x, y, z] of alongLine([line[p], line[p + 1]], 0.7))
      disc(seen, x, y, radius + 0.5, (at, _, px, py) => {
        if (seen.depth[at] < z - DIPS_IN_MM) return;
        const share = thin * Math.min(1, Math.max(0, radius + 0.5 - Math.hypot(px - x, py - y)));
        if (share <= (cover.get(at)?.[0] ?? 0)) return;
        // the tube's normal: across the line by how far off its middle, the rest towards the camera
        const off = Math.max(-0.98, Math.min(0.98, ((px - ax) * -dy + (py - ay) * dx) / size / radius));
        const n = [(-dy / size) * off, (dx / size) * off, -Math.sqrt(1 - off * off)];
        let diffuse = 0.5 * front * -n[2] + 0.5 * (above * (0.5 - 0.5 * n[1]) + below * (0.5 + 0.5 * n[1]));
        let gloss = shine * (0.25 * above * Math.max(0, -n[1]) + 0.15 * front);
        for (const { to, power } of lamps) {
          const facing = n[0] * to[0] + n[1] * to[1] + n[2] * to[2];
          diffuse += power * Math.max(0, facing);
          const mirrored = 2 * facing * n[2] - to[2]; // z of the lamp's mirror image, towards the camera at -1
          gloss += shine * power * Math.max(0, -mirrored) ** 24;
        }
        const colour = rgb.map((value, c) => (value * diffuse + gloss * (0.4 + 0.6 * value)) * gain * warm[c]);
        cover.set(at, [share, colour[0], colour[1], colour[2]]);
      });
  }
  for (const [at, [share, ...colour]] of cover)
    for (let c = 0; c < 3; c++) radiance[3 * at + c] += share * (colour[c] - radiance[3 * at + c]);
}

/** Points along a line, at most `step` samples apart. */
function* alongLine(line: readonly Drawn[], step: number): Generator<Drawn> {
  for (let p = 0; p + 1 < line.length; p++) {
    const [a, b] = [line[p], line[p + 1]];
    const steps = Math.max(1, Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / step));
    for (let s = 0; s <= steps; s++) {
      const t = s / steps;
      yield [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])];
    }
  }
}

/** Samples whose centre lies within `radius`; `q` is the squared distance over the squared radius. */
function disc(
  { width, height }: Seen,
  x: number,
  y: number,
  radius: number,
  put: (at: number, q: number, px: number, py: number) => void,
): void {
  for (let j = Math.max(0, Math.floor(y - radius)); j <= Math.min(height - 1, y + radius); j++)
    for (let i = Math.max(0, Math.floor(x - radius)); i <= Math.min(width - 1, x + radius); i++) {
      const q = ((i + 0.5 - x) ** 2 + (j + 0.5 - y) ** 2) / (radius * radius);
      if (q < 1) put(j * width + i, q, i + 0.5, j + 0.5);
    }
}

function within(loop: readonly Drawn[], x: number, y: number): boolean {
  let odd = false;
  for (let i = 0, j = loop.length - 1; i < loop.length; j = i++) {
    const [[xi, yi], [xj, yj]] = [loop[i], loop[j]];
    if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) odd = !odd;
  }
  return odd;
}
