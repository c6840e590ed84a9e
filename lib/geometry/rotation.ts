/**
 * Rotations in space: a 3x3 matrix, its pose angles, and small turns about an axis.
 *
 * Frame   camera: x right, y down, z away from the camera. Head: x to the subject's left (image right), y up, z towards
 *         the camera. A head that looks straight into the camera has R = FACING = diag(1, -1, -1).
 * Angles  R = roll(about camera z) * pitch(about camera x) * yaw(about the head's own vertical) * FACING. Yaw is positive
 *         towards the subject's left, pitch with the chin up, roll clockwise on screen. Turning the picture in
 *         its plane changes roll alone, and the one singular pose is looking straight up or down, which no photograph of a
 *         face shows; the other order would be singular in profile.
 * Layout  matrices are flat and row-major, length 9.
 */

export type PoseRad = Readonly<{ yaw: number; pitch: number; roll: number }>;

/** The rotation of a head that looks straight into the camera. */
export const FACING: readonly number[] = [1, 0, 0, 0, -1, 0, 0, 0, -1];

/** Row-major product a * b of two 3x3 matrices. */
export function multiply3(a: ArrayLike<number>, b: ArrayLike<number>): Float64Array {
  const out = new Float64Array(9);
  for (let i = 0; i < 3; i++)
    for (let j = 0; j < 3; j++) out[3 * i + j] = a[3 * i] * b[j] + a[3 * i + 1] * b[3 + j] + a[3 * i + 2] * b[6 + j];
  return out;
}

/** Head-to-camera rotation of a pose, angles in radians. */
export function rotationFromPose({ yaw, pitch, roll }: PoseRad): Float64Array {
  const cy = Math.cos(yaw);
  const sy = Math.sin(yaw);
  const cp = Math.cos(pitch);
  const sp = Math.sin(pitch);
  const cr = Math.cos(roll);
  const sr = Math.sin(roll);
  // yaw and FACING together: head x -> (cy, 0, sy), head y -> (0, -1, 0), head z -> (sy, 0, -cy), as columns
  const turned = [cy, 0, sy, 0, -1, 0, sy, 0, -cy];
  // chin up lifts head z from -z to -y: y' = cp y + sp z, z' = -sp y + cp z
  const nodded = multiply3([1, 0, 0, 0, cp, sp, 0, -sp, cp], turned);
  return multiply3([cr, -sr, 0, sr, cr, 0, 0, 0, 1], nodded);
}

/** The pose of a head-to-camera rotation, radians; pitch in -pi/2..pi/2, yaw and roll in -pi..pi. */
export function poseFromRotation(r: ArrayLike<number>): PoseRad {
  // Written out, column x is (.., .., sy cp), column y (sr cp, -cr cp, sp) and column z (.., .., -cy cp).
  return {
    yaw: Math.atan2(r[6], -r[8]),
    pitch: Math.atan2(r[7], Math.hypot(r[1], r[4])),
    roll: Math.atan2(r[1], -r[4]),
  };
}

/** The rotation by |w| radians about w. Source: Rodrigues' formula. */
export function rotationFromVector(wx: number, wy: number, wz: number): Float64Array {
  const angle2 = wx * wx + wy * wy + wz * wz;
  const angle = Math.sqrt(angle2);
  // The series keeps full accuracy where the quotients would lose it.
  const a = angle < 1e-4 ? 1 - angle2 / 6 : Math.sin(angle) / angle;
  const b = angle < 1e-4 ? 0.5 - angle2 / 24 : (1 - Math.cos(angle)) / angle2;
  return Float64Array.of(
    1 - b * (wy * wy + wz * wz),
    b * wx * wy - a * wz,
    b * wx * wz + a * wy,
    b * wx * wy + a * wz,
    1 - b * (wx * wx + wz * wz),
    b * wy * wz - a * wx,
    b * wx * wz - a * wy,
    b * wy * wz + a * wx,
    1 - b * (wx * wx + wy * wy),
  );
}

/** The angle between two rotations, radians, 0..pi. */
export function angleBetween(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let trace = 0;
  for (let i = 0; i < 9; i++) trace += a[i] * b[i];
  return Math.acos(Math.min(1, Math.max(-1, (trace - 1) / 2)));
}
