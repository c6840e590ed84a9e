/**
 * The displacement field: where and how far the skin moved along its normal, from its shading and from the shift of its texture.
 *
 * Model   for every skin cell of every view
 *           log(after / before) = light terms + g . (-grad d) + q + noise
 *         and for places of every view, in both directions of the picture,
 *           texture shift = d (n_x, n_y) + rigid error + expression + noise                         (shift-rows.ts)
 *         g is the gradient of log irradiance (shading.ts); d the bumps of bumps.ts; the light terms changes of the lamps' powers, seen
 *         or hidden as the face's relief has it; q a smooth misfit of the light model with bumps of its own; noise Student-t.
 *         All are estimated in one linear Bayesian fit. What the pair itself tells: the size of q, of the noise, and of the displacement
 *         in each zone (field-prior.ts). A zone that shows no change is held near rest, one that does is set free; so a loss is not
 *         spread over its neighbours with the opposite sign, as one prior for all of the face would have it.
 *         The views share the field alone, so what each has of its own is eliminated view by view (solve-arrow.ts).
 * Why     fitting the light first and integrating what is left smears along the lines of equal shading; together, each
 *         explanation takes only what it explains better.
 * Error   posterior covariance. It is also what a test of no change divides by: the scatter of the estimate alone would be smaller,
 *         because the prior holds it, but then an interval could reach across zero and the test still call it a change.
 * Source  MacKay, Neural Computation 4(3):415-447, 1992 (evidence updates of variances); Tipping, JMLR 1:211-244, 2001 (a prior
 *         width for each part, from the data); Lange, Little & Taylor, JASA 84(408):881-896, 1989 (Student-t by reweighting).
 */

import type { RelitPair } from '#lib/light/relight.ts';
import type { ZoneId } from '#shared/zones.ts';
import { type BumpSet, bumpSet } from './bumps.ts';
import { DISPLACEMENT_PARAMETERS, type DisplacementParameters } from './displacement-parameters.ts';
import { lightPriorSd, VIEW_LIGHT_TERMS, viewRows } from './displacement-rows.ts';
import { type FieldFit, fitField } from './field-fit.ts';
import { priorShape } from './field-prior.ts';
import { RIGID_TERMS, shiftRows, shiftUnknowns } from './shift-rows.ts';

export type DisplacementFit = FieldFit &
  Readonly<{
    set: BumpSet;
    /** Per view, per cell, 0..1: how far the light model explains the cell and how much of it was seen. */
    trust: readonly Float64Array[];
  }>;

export function fitDisplacement(
  views: readonly RelitPair[],
  references: readonly ZoneId[],
  p: DisplacementParameters = DISPLACEMENT_PARAMETERS,
): DisplacementFit {
  const set = bumpSet(p.spacingMm, p.sigmaMm);
  const misfitSet = bumpSet(p.misfitSpacingMm, p.misfitSigmaMm);
  const expressionSet = bumpSet(p.expressionSpacingMm, p.expressionSigmaMm);
  // Order, in the rows of a view: bumps, then its own: light, misfit, rigid error, expression.
  const bumps = set.centres.length;
  const moves = VIEW_LIGHT_TERMS + misfitSet.centres.length;
  const shading = views.map((view) => viewRows(view, set, misfitSet, bumps, bumps + VIEW_LIGHT_TERMS, p));
  const shifts = views.map((view) => shiftRows(view, set, expressionSet, bumps + moves));
  const own = {
    lightSd: lightPriorSd(p),
    misfit: [VIEW_LIGHT_TERMS, moves],
    expression: [moves + RIGID_TERMS, moves + shiftUnknowns(expressionSet)],
  } as const;
  return { set, trust: shading.map(({ cellTrust }) => cellTrust), ...fitField(shading, shifts, own, priorShape(set, references, p), p) };
}
