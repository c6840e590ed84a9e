/** A nine-term light with its gradient, written out: what painted faces are shaded by. */

const C0 = Math.sqrt(1 / (4 * Math.PI));
const C1 = Math.sqrt(3 / (4 * Math.PI));
const C2 = Math.sqrt(15 / (4 * Math.PI));
const C20 = Math.sqrt(5 / (16 * Math.PI));
const C22 = Math.sqrt(15 / (16 * Math.PI));

/** Value and gradient with respect to the direction (not yet projected on the tangent plane) of a nine-term expansion. */
export function irradianceAndGradient(
  c: ArrayLike<number>,
  x: number,
  y: number,
  z: number,
): [e: number, gx: number, gy: number, gz: number] {
  const e =
    c[0]! * C0 +
    C1 * (c[1]! * x + c[2]! * y + c[3]! * z) +
    C2 * (c[4]! * x * y + c[5]! * y * z + c[7]! * x * z) +
    C20 * c[6]! * (3 * z * z - 1) +
    C22 * c[8]! * (x * x - y * y);
  const gx = C1 * c[1]! + C2 * (c[4]! * y + c[7]! * z) + 2 * C22 * c[8]! * x;
  const gy = C1 * c[2]! + C2 * (c[4]! * x + c[5]! * z) - 2 * C22 * c[8]! * y;
  const gz = C1 * c[3]! + C2 * (c[5]! * y + c[7]! * x) + 6 * C20 * c[6]! * z;
  return [e, gx, gy, gz];
}
