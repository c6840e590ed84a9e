/**
 * Hair drawn back from the forehead: where it begins, how thick it lies.
 *
 * Frame   `around` counts vertices of the face's rim from under the chin, 0..36; `fromRim` is mm from the rim towards the back.
 */
/** Distance of the hairline from the rim, mm, from the chin (0) to the forehead's middle (18); 999 where there is none. */
const HAIRLINE_MM = [999, 999, 999, 999, 999, 999, 999, 95, 62, 48, 40, 15, 17, 18, 14, 8, 5, 4, 4] as const;
const THICKNESS_MM = 8;

/** Distance of the hairline from the rim at a place around it, mm. */
export function hairlineAt(around: number): number {
  const n = around > 18 ? 36 - around : around;
  const i = Math.min(17, Math.max(0, Math.floor(n)));
  return HAIRLINE_MM[i] + (n - i) * (HAIRLINE_MM[i + 1] - HAIRLINE_MM[i]);
}

/** How far hair lifts the surface, mm. */
export function hairThickness(around: number, fromRim: number): number {
  const beyond = fromRim - hairlineAt(around);
  return beyond <= 0 ? 0 : THICKNESS_MM * (1 - Math.exp(-beyond / 14));
}
