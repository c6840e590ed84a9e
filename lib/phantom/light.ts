/**
 * Lamps and the light from all around, and how much of it a surface receives.
 *
 * Frame   camera: x right, y down, z forward; directions point towards the light. Power 1 lights a white surface that
 *         faces the lamp to radiance 1 (the pi of Lambert's law is taken in).
 * Model   a lamp is a disc of some radius on the sky. The clamped cosine of a disc that sinks behind the surface's own
 *         horizon is smoothed over the disc's height. Light from around varies linearly with direction:
 *         L(d) = c0 + c1 . d gives the irradiance c0 + 2/3 c1 . n (Ramamoorthi & Hanrahan, SIGGRAPH 2001: factors pi and 2 pi / 3).
 */
import type { Direction } from './occlusion.ts';
import type { LampSpec, LightSpec } from './types.ts';

/** A clinic's pair of soft lamps beside the camera, the stronger to the picture's left, and bright walls. */
export const CLINIC_LIGHT: LightSpec = {
  lamps: [
    { azimuthDeg: -36, elevationDeg: 26, radiusDeg: 13, power: 0.72 },
    { azimuthDeg: 42, elevationDeg: 18, radiusDeg: 15, power: 0.34 },
  ],
  ambient: { above: 0.3, front: 0.1, below: 0.1 },
  warmth: { red: 1, blue: 1 },
};

/** The clinic's light with all lamps turned sideways and up, degrees. */
export function turnedLight(
  light: LightSpec,
  { azimuthDeg = 0, elevationDeg = 0 }: Readonly<{ azimuthDeg?: number; elevationDeg?: number }>,
): LightSpec {
  return {
    ...light,
    lamps: light.lamps.map((lamp) => ({
      ...lamp,
      azimuthDeg: lamp.azimuthDeg + azimuthDeg,
      elevationDeg: lamp.elevationDeg + elevationDeg,
    })),
  };
}

/** Unit vector towards the lamp, camera frame. */
export function towards({ azimuthDeg, elevationDeg }: Pick<LampSpec, 'azimuthDeg' | 'elevationDeg'>): Direction {
  const [a, e] = [(azimuthDeg * Math.PI) / 180, (elevationDeg * Math.PI) / 180];
  return [Math.sin(a) * Math.cos(e), -Math.sin(e), -Math.cos(a) * Math.cos(e)];
}

/** `count` directions spread evenly over the lamp's disc (Vogel's spiral). */
export function lampDirections(lamp: LampSpec, count: number): Direction[] {
  const [x, y, z] = towards(lamp);
  const level = Math.hypot(x, z);
  const [e1, e2]: readonly [Direction, Direction] = [
    [z / level, 0, -x / level],
    [(-x * y) / level, level, (-z * y) / level],
  ];
  const radius = Math.tan((lamp.radiusDeg * Math.PI) / 180);
  return Array.from({ length: count }, (_, i) => {
    const [r, angle] = [radius * Math.sqrt((i + 0.5) / count), i * Math.PI * (3 - Math.sqrt(5))];
    const [a, b] = [r * Math.cos(angle), r * Math.sin(angle)];
    const d = [x + a * e1[0] + b * e2[0], y + a * e1[1] + b * e2[1], z + a * e1[2] + b * e2[2]];
    const size = Math.hypot(d[0], d[1], d[2]);
    return [d[0] / size, d[1] / size, d[2] / size];
  });
}

/** `count` directions spread evenly over the whole sphere (Fibonacci). */
export function sphereDirections(count: number): Direction[] {
  return Array.from({ length: count }, (_, i) => {
    const y = 1 - (2 * i + 1) / count;
    const [r, angle] = [Math.sqrt(1 - y * y), i * Math.PI * (3 - Math.sqrt(5))];
    return [r * Math.cos(angle), y, r * Math.sin(angle)];
  });
}

/** Light from around as c0 + c1 . d, camera frame. */
export function ambientTerms({ above, front, below }: LightSpec['ambient']): Readonly<{ c0: number; up: number; front: number }> {
  return { c0: (above + below) / 2 + front / 2, up: (above - below) / 2, front: front / 2 };
}

/** Share of a lamp's light on a surface whose normal meets its centre at the cosine `c`; `half` is the sine of the lamp's radius. */
export function softCosine(c: number, half: number): number {
  if (c >= half) return c;
  if (c <= -half) return 0;
  return (c + half) ** 2 / (4 * half);
}
