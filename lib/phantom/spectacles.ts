/**
 * Where a pair of spectacles sits on a head: rims, bridge and arms as lines in space.
 *
 * Frame   head, mm.
 * Model   lenses are superellipses on a front that is bent round the face, some 14 mm before the eyes; the bridge arches over this
 *         person's nose; arms run from the outer ends back to the ears. Measures are ours, read off the average head.
 */
import type { SpectaclesSpec } from './types.ts';

type Point = readonly [number, number, number];

export type SpectaclesLines = Readonly<{
  /** Outlines of the lenses, closed: the first point stands at the end again. */
  lenses: readonly (readonly Point[])[];
  /** What is drawn as frame, each with its thickness, mm. */
  bars: readonly Readonly<{ line: readonly Point[]; thicknessMm: number }>[];
}>;

/** Half the gap between the lenses. */
const HALF_BRIDGE_MM = 9;
/** Lenses sit a little below the pupils, which are at 26.9. */
const MIDDLE_Y = 23;
const FRONT_Z = 57;
/** The front falls back by this times x squared. */
const BENT_PER_MM = 0.0026;
const STEPS = 72;

/** `head` (n, 3): the bridge clears its nose. */
export function spectaclesLines(spec: SpectaclesSpec, head: ArrayLike<number>): SpectaclesLines {
  const middleY = MIDDLE_Y - spec.slideMm;
  const front = (x: number, y: number): Point => [x, y, FRONT_Z + 0.5 * spec.slideMm - BENT_PER_MM * x * x];
  const outline = (side: number): Point[] =>
    Array.from({ length: STEPS + 1 }, (_, i) => {
      const angle = (2 * Math.PI * i) / STEPS;
      const [c, s] = [Math.cos(angle), Math.sin(angle)];
      const power = 2 / spec.squareness;
      return front(
        side * (HALF_BRIDGE_MM + spec.lensWidthMm / 2 + (spec.lensWidthMm / 2) * Math.sign(c) * Math.abs(c) ** power),
        middleY + (spec.lensHeightMm / 2) * Math.sign(s) * Math.abs(s) ** power,
      );
    });
  const lenses = [outline(-1), outline(1)];
  const rims =
    spec.rim === 'rimless'
      ? []
      : lenses.map((line) => ({ line: spec.rim === 'full' ? line : line.slice(0, STEPS / 2 + 1), thicknessMm: spec.thicknessMm }));
  // where the rim's upper inner part is, and from there over the nose
  const rootY = middleY + 0.2 * spec.lensHeightMm;
  const noseZ = noseAt(head, rootY + 2) + 2;
  const bridge = Array.from({ length: 13 }, (_, i): Point => {
    const t = i / 6 - 1;
    const [x, y, z] = front(t * (HALF_BRIDGE_MM + 1), rootY + 2.5 * (1 - t * t));
    return [x, y, z + Math.max(0, noseZ - z) * (1 - t * t)];
  });
  const outer = HALF_BRIDGE_MM + spec.lensWidthMm;
  const hingeY = middleY + 0.25 * spec.lensHeightMm;
  const arms = [-1, 1].map((side) => {
    const hinge = front(side * outer, hingeY);
    const ear: Point = [side * Math.max(77, outer + 8), 27, -25];
    const elbow: Point = [side * (outer + 4), hingeY + 0.5, hinge[2] - 5];
    return { line: [hinge, elbow, ear], thicknessMm: Math.max(1.2, 0.8 * spec.thicknessMm) };
  });
  return { lenses, bars: [...rims, { line: bridge, thicknessMm: spec.rim === 'rimless' ? 1.3 : spec.thicknessMm }, ...arms] };
}

/** How far the nose's ridge stands out at height y. */
function noseAt(head: ArrayLike<number>, y: number): number {
  let out = 0;
  for (let i = 0; i < head.length; i += 3) if (Math.abs(head[i]) < 6 && Math.abs(head[i + 1] - y) < 4) out = Math.max(out, head[i + 2]);
  return out;
}
