/**
 * Eyeballs: two smooth balls behind the lids, whose own places say where iris and pupil are.
 *
 * Frame   head, mm. Eye frame: mm from the ball's centre, z along the gaze.
 * Model   an ellipsoid a little wider than deep fills the opening from corner to corner; the iris is a disc about the
 *         gaze, 11.7 mm across (the population's visible iris, see docs/sources.md).
 */
export const IRIS_DIAMETER_MM = 11.7;
export const EYE_CENTRE = [31.6, 26.9, 26.6] as const;
export const EYE_AXES = [14.6, 12.6, 12.2] as const;
const ROWS = 20;
const COLUMNS = 32;
/** The modelled part of the ball reaches this far from its front, radians. */
const REACH = 1.75;

export type EyeBall = Readonly<{ vertices: Float64Array; triangles: Uint32Array; /** (n, 3) eye frame */ places: Float64Array }>;

/** One ball; `side` -1 is the subject's right. Gaze in degrees: x to the subject's left, y up. */
export function eyeBall(side: -1 | 1, gazeXDeg: number, gazeYDeg: number): EyeBall {
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
      vertices.push(side * EYE_CENTRE[0] + p[0], EYE_CENTRE[1] + p[1], EYE_CENTRE[2] + p[2]);
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
export function pupilOf(side: -1 | 1, gazeXDeg: number, gazeYDeg: number): [number, number, number] {
  const [gx, gy] = [(gazeXDeg * Math.PI) / 180, (gazeYDeg * Math.PI) / 180];
  const direction = [Math.sin(gx) * Math.cos(gy), Math.sin(gy), Math.cos(gx) * Math.cos(gy)];
  const reach = 1 / Math.hypot(direction[0] / EYE_AXES[0], direction[1] / EYE_AXES[1], direction[2] / EYE_AXES[2]);
  return [side * EYE_CENTRE[0] + reach * direction[0], EYE_CENTRE[1] + reach * direction[1], EYE_CENTRE[2] + reach * direction[2]];
}
