/**
 * Eyeballs: two smooth balls behind the lids, whose own places say where iris and pupil are.
 *
 * Frame   head, mm. Eye frame: mm from the ball's centre, z along the gaze.
 * Model   an ellipsoid a little wider than deep fills the opening from corner to corner; the iris is a disc about the
 *         gaze, 11.7 mm across (the population's visible iris, see docs/sources.md).
 */
import { tileChannel } from './texture-lookup.ts';

export const IRIS_DIAMETER_MM = 11.7;
export const EYE_CENTRE = [31.6, 26.9, 26.6] as const;
export const EYE_AXES = [14.6, 12.6, 12.2] as const;
const ROWS = 20;
const COLUMNS = 32;
/** The modelled part of the ball reaches this far from its front, radians. */
const REACH = 1.75;

export type EyeBall = Readonly<{
  vertices: Float64Array;
  triangles: Uint32Array;
  /** (n, 3) eye frame */
  places: Float64Array;
}>;

/** One ball; `side` -1 is the subject's right; `widen` is the factor by which the eyes stand further apart than the average. Gaze in degrees: x to the subject's left, y up. */
export function eyeBall(side: -1 | 1, widen: number, gazeXDeg: number, gazeYDeg: number): EyeBall {
  const vertices: number[] = [];
  const places: number[] = [];
  const triangles: number[] = [];
  const [gx, gy] = [(gazeXDeg * Math.PI) / 180, (gazeYDeg * Math.PI) / 180];
  for (let r = 0; r <= ROWS; r++)
    for (let c = 0; c < COLUMNS; c++) {
      const polar = (REACH * r) / ROWS;
      const azimuth = (2 * Math.PI * c) / COLUMNS;
      const d = [Math.sin(polar) * Math.cos(azimuth), Math.sin(polar) * Math.sin(azimuth), Math.cos(polar)];
      const p = d.map((value, k) => value * EYE_AXES[k]);
      vertices.push(side * widen * EYE_CENTRE[0] + p[0], EYE_CENTRE[1] + p[1], EYE_CENTRE[2] + p[2]);
      // turn the place into the frame of the gaze: about y, then about x
      const [x, z] = [p[0] * Math.cos(gx) - p[2] * Math.sin(gx), p[0] * Math.sin(gx) + p[2] * Math.cos(gx)];
      places.push(x, p[1] * Math.cos(gy) - z * Math.sin(gy), p[1] * Math.sin(gy) + z * Math.cos(gy));
    }
  for (let r = 0; r < ROWS; r++)
    for (let c = 0; c < COLUMNS; c++) {
      const [a, b] = [r * COLUMNS + c, r * COLUMNS + ((c + 1) % COLUMNS)];
      triangles.push(a, a + COLUMNS, b + COLUMNS, a, b + COLUMNS, b);
    }
  return { vertices: Float64Array.from(vertices), triangles: Uint32Array.from(triangles), places: Float64Array.from(places) };
}

/** Centre of the pupil on the ball's front, head frame. */
export function pupilOf(side: -1 | 1, widen: number, gazeXDeg: number, gazeYDeg: number): [number, number, number] {
  const [gx, gy] = [(gazeXDeg * Math.PI) / 180, (gazeYDeg * Math.PI) / 180];
  const direction = [Math.sin(gx) * Math.cos(gy), Math.sin(gy), Math.cos(gx) * Math.cos(gy)];
  const reach = 1 / Math.hypot(direction[0] / EYE_AXES[0], direction[1] / EYE_AXES[1], direction[2] / EYE_AXES[2]);
  return [side * widen * EYE_CENTRE[0] + reach * direction[0], EYE_CENTRE[1] + reach * direction[1], EYE_CENTRE[2] + reach * direction[2]];
}

/**
 * Colour of the ball at (x, y, z), eye frame mm, into `rgb`. `inward` is +1 where growing x runs towards the nose; `blue` 0 dark brown
 * to 1 light blue.
 */
export function eyeColour(x: number, y: number, z: number, inward: number, blue: number, tile: Float32Array, rgb: number[]): void {
  const r = Math.sqrt(x * x + y * y);
  const iris = IRIS_DIAMETER_MM / 2;
  const medial = inward * x;
  const pink = Math.min(1, Math.max(0, (medial - 9.2) / 2.6));
  const red = 0.08 * Math.min(1, Math.max(0, (Math.abs(x) - 6) / 6));
  rgb[0] = 0.42 + pink * (0.33 - 0.42);
  rgb[1] = 0.38 * (1 - red) + pink * (0.16 - 0.38);
  rgb[2] = 0.35 * (1 - red) + pink * (0.14 - 0.35);
  if (z <= 0 || r > iris + 0.5) return;
  const angle = Math.atan2(y, x);
  const fibre = tileChannel(tile, angle * 60, r * 5, 2) * 0.5 + tileChannel(tile, angle * 130, r * 3 + 200, 3) * 0.5;
  const light = [0.075 + blue * (0.1 - 0.075), 0.034 + blue * (0.16 - 0.034), 0.014 + blue * (0.21 - 0.014)];
  const inner = Math.min(1, Math.max(0, (r - 1.7) / 0.35));
  const limbus = 1 - 0.65 * Math.min(1, Math.max(0, (r - 4.9) / 0.85));
  const edge = Math.min(1, Math.max(0, (iris + 0.275 - r) / 0.55));
  for (let c = 0; c < 3; c++) {
    const colour = 0.004 + inner * light[c] * (1 + 0.28 * fibre) * limbus * (0.75 + 0.35 * Math.exp(-(((r - 2.6) / 1) ** 2)));
    rgb[c] += edge * (colour - rgb[c]);
  }
}
