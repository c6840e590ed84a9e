/**
 * Lids lie on the eyeball: skin that would cut into the ball is moved onto it.
 *
 * Frame   head, mm. The inner side of the lids, which turns backwards behind the margin, is left alone.
 */
import { EYE_AXES, EYE_CENTRE } from './eyes.ts';
import { smoothstep } from './fields.ts';
import type { HeadGrid } from './head-grid.ts';

/** Thickness of skin over the ball, mm, and the width of the smooth change from free to lying on it. */
const SKIN_MM = 0.55;
const SOFT_MM = 0.9;

/** Moves `fine` (n, 3) forwards where needed. `widen` is the factor by which this head's eyes stand further apart. */
export function coverEyes(fine: Float64Array, { material, innerSide }: HeadGrid, widen: number): void {
  for (let i = 0; i < fine.length; i += 3) {
    if (material[i + 2] < 20 || material[i + 1] < 8 || material[i + 1] > 46) continue;
    const dx = (Math.abs(fine[i]) - EYE_CENTRE[0] * widen) / EYE_AXES[0];
    const dy = (fine[i + 1] - EYE_CENTRE[1]) / EYE_AXES[1];
    const off = dx * dx + dy * dy;
    if (off >= 0.98) continue;
    const surface = EYE_CENTRE[2] + EYE_AXES[2] * Math.sqrt(1 - off) + SKIN_MM;
    const lacking = surface - fine[i + 2];
    if (lacking <= -SOFT_MM) continue;
    const push = lacking >= SOFT_MM ? lacking : (lacking + SOFT_MM) ** 2 / (4 * SOFT_MM);
    fine[i + 2] += push * smoothstep(0.98, 0.8, off) * (1 - innerSide[i / 3]);
  }
}
