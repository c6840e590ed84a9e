/** What is known of one photograph on its own: the answer of a check, as plain JSON. */
import { z } from 'zod';
import { checkSchema, photoFactsSchema, quantitySchema, viewSchema } from './comparison.ts';

export const PHOTO_CHECK_SCHEMA = 'ebbline.photo-check/1';

export const photoCheckSchema = z.object({
  schema: z.literal(PHOTO_CHECK_SCHEMA),
  /** The file's base name; never a path. */
  name: z.string(),
  sha256: z.string().regex(/^[0-9a-f]{64}$/),
  facts: photoFactsSchema,
  /** Size of the upright photograph; the frame of `landmarksPx`. */
  uprightPx: z.object({ width: z.number().int().positive(), height: z.number().int().positive() }),
  view: viewSchema,
  pose: z.object({ yawDeg: quantitySchema, pitchDeg: quantitySchema, rollDeg: quantitySchema }),
  /** In px of the upright original. */
  interpupillaryPx: z.number(),
  /** mm per px of the upright original, at the depth of the pupils, and its relative standard uncertainty. */
  mmPerPx: z.number().positive(),
  relU: z.number().nonnegative(),
  scaleSource: z.enum(['iris', 'interpupillary', 'marker']),
  checks: z.array(checkSchema),
  /** 478 landmarks, flat [x0, y0, ...], in px of the upright original. */
  landmarksPx: z.array(z.number()),
});
export type PhotoCheck = z.infer<typeof photoCheckSchema>;
