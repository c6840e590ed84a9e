/**
 * A line across a zone, laid on the skin as one view shows it.
 *
 * Frame   px of the before photograph; places in the head frame, mm. The line runs downwards where it is steeper than
 *         it is wide, and otherwise outwards from the middle of the face (in zones of the middle: to the subject's left).
 */
import type { AlignedPair } from '#lib/align/align-pair.ts';
import type { SurfaceMap } from '#lib/align/surface-map.ts';
import { ZONE_IDS } from '#shared/zones.ts';

/** How far beyond the zone's borders the line goes on, mm, while there is skin. */
const MARGIN_MM = 7;
/** A line shorter than this says nothing. */
const SHORTEST_MM = 4;

export type Place = Readonly<{ x: number; y: number; headMm: readonly [number, number, number]; distanceMm: number; inZone: boolean }>;
export type EvidenceLine = Readonly<{
  places: readonly Place[];
  /** Unit vector, px. */
  direction: readonly [number, number];
  /** Words for the first and the last place. */
  ends: [string, string];
}>;

/** `zones`: zone of each cell of the pair's map; `across`: unit vector of the line, px. Null when too little skin is seen along it. */
export function evidenceLine(
  pair: AlignedPair,
  zones: Int8Array,
  zone: number,
  through: readonly [number, number],
  across: readonly [number, number],
  count: number,
): EvidenceLine | null {
  const reach = (sign: 1 | -1): number => lengthFrom(pair, zones, zone, through, [sign * across[0], sign * across[1]]);
  const [back, forth] = [reach(-1), reach(1)];
  const laid = placesOn(pair, zones, zone, through, across, -back, forth, count);
  if (!laid || laid[count - 1].distanceMm < SHORTEST_MM) return null;
  const { right, ends } = courseOf(laid[0], laid[count - 1]);
  return right ? { places: laid, direction: across, ends } : { places: turned(laid), direction: [-across[0], -across[1]], ends };
}

/** Of each zone in ZONE_IDS, the unit vector along the shorter principal axis of its cells; null for fewer than a dozen. */
export function shortAxes(zones: Int8Array, width: number): (readonly [number, number] | null)[] {
  const sums = ZONE_IDS.map(() => new Float64Array(6));
  zones.forEach((zone, cell) => {
    if (zone < 0) return;
    const x = cell % width;
    const y = Math.floor(cell / width);
    const sum = sums[zone];
    sum[0]++;
    sum[1] += x;
    sum[2] += y;
    sum[3] += x * x;
    sum[4] += x * y;
    sum[5] += y * y;
  });
  return sums.map(([n, sx, sy, sxx, sxy, syy]) => {
    if (n < 12) return null;
    const [a, b, c] = [sxx / n - (sx / n) ** 2, sxy / n - (sx * sy) / (n * n), syy / n - (sy / n) ** 2];
    // The long axis lies at half the angle of (a - c, 2b); the short one is a quarter turn from it.
    const long = 0.5 * Math.atan2(2 * b, a - c);
    return [-Math.sin(long), Math.cos(long)];
  });
}

/** Px from `from` in `direction` until MARGIN_MM after the zone was last seen, or until the skin ends. */
function lengthFrom(
  { map, notSkin, mmPerPx }: AlignedPair,
  zones: Int8Array,
  zone: number,
  from: readonly number[],
  direction: readonly number[],
): number {
  let last = 0;
  let length = 0;
  for (let t = 0; ; t += map.stride / 2) {
    const i = Math.floor((from[0] + t * direction[0]) / map.stride);
    const j = Math.floor((from[1] + t * direction[1]) / map.stride);
    if (i < 1 || j < 1 || i >= map.width - 1 || j >= map.height - 1) return length;
    const cell = j * map.width + i;
    if (map.triangle[cell] < 0 || (notSkin[cell] && zones[cell] !== zone)) return length;
    if (zones[cell] === zone) last = t;
    if ((t - last) * mmPerPx > MARGIN_MM) return length;
    length = t;
  }
}

function placesOn(
  { map }: AlignedPair,
  zones: Int8Array,
  zone: number,
  through: readonly [number, number],
  direction: readonly [number, number],
  first: number,
  last: number,
  count: number,
): Place[] | null {
  const places: Place[] = [];
  for (let k = 0; k < count; k++) {
    const t = first + ((last - first) * k) / (count - 1);
    const [x, y] = [through[0] + t * direction[0], through[1] + t * direction[1]];
    const headMm = headAt(map, x, y);
    if (!headMm) return null;
    const before = places.at(-1);
    const step = before ? Math.hypot(headMm[0] - before.headMm[0], headMm[1] - before.headMm[1], headMm[2] - before.headMm[2]) : 0;
    const inZone = zones[Math.floor(y / map.stride) * map.width + Math.floor(x / map.stride)] === zone;
    places.push({ x, y, headMm, distanceMm: (before?.distanceMm ?? 0) + step, inZone });
  }
  return places;
}

/** Between the centres of the four cells around, of those that show the surface. */
function headAt(map: SurfaceMap, x: number, y: number): [number, number, number] | null {
  const u = Math.min(Math.max(x / map.stride - 0.5, 0), map.width - 1.001);
  const v = Math.min(Math.max(y / map.stride - 0.5, 0), map.height - 1.001);
  const [i, j] = [Math.floor(u), Math.floor(v)];
  const [f, g] = [u - i, v - j];
  const sum = [0, 0, 0, 0];
  for (let k = 0; k < 4; k++) {
    const cell = (j + (k >> 1)) * map.width + i + (k & 1);
    if (map.triangle[cell] < 0) continue;
    const w = (k & 1 ? f : 1 - f) * (k >> 1 ? g : 1 - g);
    for (let c = 0; c < 3; c++) sum[c] += w * map.headMm[3 * cell + c];
    sum[3] += w;
  }
  return sum[3] > 0 ? [sum[0] / sum[3], sum[1] / sum[3], sum[2] / sum[3]] : null;
}

/** Whether a line from one place to the other runs the way it should, and what its ends are called once it does. */
function courseOf({ headMm: [x0, y0] }: Place, { headMm: [x1, y1] }: Place): { right: boolean; ends: [string, string] } {
  if (Math.abs(y1 - y0) >= Math.abs(x1 - x0)) return { right: y1 < y0, ends: ['upper', 'lower'] };
  const crossesMiddle = x0 * x1 < 0 && Math.min(Math.abs(x0), Math.abs(x1)) > Math.abs(x1 - x0) / 5;
  if (crossesMiddle) return { right: x1 > x0, ends: ['right', 'left'] };
  return { right: Math.abs(x1) > Math.abs(x0), ends: ['inner', 'outer'] };
}

function turned(places: readonly Place[]): Place[] {
  const whole = places.at(-1)!.distanceMm;
  return places.map((place) => ({ ...place, distanceMm: whole - place.distanceMm })).reverse();
}
