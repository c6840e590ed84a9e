/**
 * How far a border of the face moved along its outward normal, beyond the rigid motion of the head.
 *
 * Frame   mm in the picture plane at the face's depth; outward is away from the mouth for the lip border, away from the face for
 *         cheek and jaw.
 * Model   mean over the border of (registered flow - rigid flow) . normal. Where the border has texture, the flow follows it;
 *         elsewhere it follows the landmarks, and the uncertainty is theirs.
 */
import type { AlignedPair } from '#lib/align/align-pair.ts';
import { flowAlongRow } from '#lib/align/flow.ts';
import { LANDMARK_SD_MM } from '#lib/align/register.ts';
import type { ZoneId } from '#shared/zones.ts';
import { difference, type Readings } from './reading.ts';

type Border = Readonly<{ path: readonly number[]; away: 'mouth' | 'face' }>;

/** Landmarks along each border; the mouth's and the face's outline by the public connection lists. */
const BORDERS: Partial<Record<ZoneId, Border>> = {
  'vermilion-upper': { path: [61, 185, 40, 39, 37, 0, 267, 269, 270, 409, 291], away: 'mouth' },
  'vermilion-lower': { path: [61, 146, 91, 181, 84, 17, 314, 405, 321, 375, 291], away: 'mouth' },
  'submalar-right': { path: [93, 132, 58], away: 'face' },
  'submalar-left': { path: [323, 361, 288], away: 'face' },
  'jawline-right': { path: [58, 172, 136, 150], away: 'face' },
  'jawline-left': { path: [288, 397, 365, 379], away: 'face' },
  'prejowl-right': { path: [150, 149, 176], away: 'face' },
  'prejowl-left': { path: [379, 378, 400], away: 'face' },
  chin: { path: [176, 148, 152, 377, 400], away: 'face' },
};
const MOUTH_CENTRE = [13, 14];
const FACE_CENTRE = [4, 13];
/** Landmarks along one border share part of their bias; so many of them count as one. */
const LANDMARKS_PER_SAMPLE = 2;

export function zoneContour(pair: AlignedPair, zone: ZoneId): Readings {
  const border = BORDERS[zone];
  if (!border) return {};
  const at = (i: number): [number, number] => [pair.before.landmarks[3 * i], pair.before.landmarks[3 * i + 1]];
  const centre = (border.away === 'mouth' ? MOUTH_CENTRE : FACE_CENTRE).map(at).reduce((s, [x, y]) => [s[0] + x / 2, s[1] + y / 2], [0, 0]);
  const shifts: number[] = [];
  for (let k = 1; k < border.path.length; k++) {
    const [ax, ay] = at(border.path[k - 1]),
      [bx, by] = at(border.path[k]);
    const [x, y] = [(ax + bx) / 2, (ay + by) / 2];
    let [nx, ny] = [by - ay, ax - bx];
    const length = Math.hypot(nx, ny) || 1;
    if (nx * (x - centre[0]) + ny * (y - centre[1]) < 0) [nx, ny] = [-nx, -ny];
    const [fx, fy] = flowAt(pair.flow, x, y),
      [rx, ry] = flowAt(pair.rigidFlow, x, y);
    shifts.push((((fx - rx) * nx + (fy - ry) * ny) / length) * pair.after.scale.mmPerPx);
  }
  const mean = shifts.reduce((s, v) => s + v, 0) / shifts.length;
  const u = Math.hypot(
    (Math.SQRT2 * LANDMARK_SD_MM) / Math.sqrt(Math.max(1, border.path.length / LANDMARKS_PER_SAMPLE)),
    pair.registration.residualMm || 0,
    (pair.rigid.residualPx * pair.after.scale.mmPerPx) / Math.sqrt(8),
  );
  return { contourMm: difference(mean, u) };
}

const one = [new Float32Array(1), new Float32Array(1)];
function flowAt(flow: AlignedPair['flow'], x: number, y: number): [number, number] {
  flowAlongRow(flow, y, x, 1, 1, one[0], one[1]);
  return [one[0][0], one[1][0]];
}
