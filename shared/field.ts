/**
 * The displacement field as a page shows it: the face as a surface with what it was moved by, and for each zone the
 * evidence along one line across it.
 *
 * Frame   head, mm: x to the subject's left, y up, z out of the face. `platePx` is px of the plate of `view`.
 * Signs   loss is negative, gain positive.
 */
import { z } from 'zod';
import { type View, viewSchema, zoneIdSchema } from './comparison.ts';

export const EVIDENCE_SCHEMA = 'ebbline.evidence/1';

export type FaceSurface = Readonly<{
  /** The view whose plate `platePx` and `facing` speak of. */
  view: View;
  /** (m, 3), counter-clockwise seen from outside */
  triangles: Uint16Array;
  /** (n, 3) */
  placesMm: Float32Array;
  /** (n) along the outward normal; outside the zones it is how the field runs out, and is no measurement */
  displacementMm: Float32Array;
  /** (n) index into ZONE_IDS, -1 outside every zone */
  zone: Int8Array;
  /** (n, 2) where the plate shows the vertex */
  platePx: Float32Array;
  /** (n) 0 turned away or hidden in the plate .. 255 seen squarely */
  facing: Uint8Array;
  /** (n) 0 not measured or not to be trusted .. 255 fully trusted, in the view that shows the vertex best */
  trust: Uint8Array;
}>;

const perSample = z.array(z.number());
const perSampleSeen = z.array(z.number().nullable());

/** Samples at even steps along a line that crosses the zone through its largest displacement; null where not seen. */
export const zoneEvidenceSchema = z.object({
  zone: zoneIdSchema,
  view: viewSchema,
  /** Words for the first and the last sample: upper and lower, inner and outer, or right and left (the subject's). */
  ends: z.tuple([z.string(), z.string()]),
  /** Along the skin from the first sample. */
  distanceMm: perSample,
  inZone: z.array(z.boolean()),
  displacementMm: perSample,
  /** Standard uncertainty of the displacement, k = 1. */
  uMm: perSample,
  /** CIELAB L* of the before photograph, and of the after photograph under the same light, relative to the reference zones. */
  lightnessBefore: perSampleSeen,
  lightnessAfter: perSampleSeen,
  /** What texture moved by, beyond the motion of the head as a whole, towards the last sample. */
  shiftMm: perSampleSeen,
  /** Root mean square error of the alignment, mm. */
  shiftUMm: z.number().nonnegative(),
  /** 0..1: how far the light model explains the place. */
  trust: perSampleSeen,
  /** x, y of each sample in px of a view's plate, for every view that shows the whole line. */
  lines: z.partialRecord(viewSchema, z.array(z.number())),
});
export type ZoneEvidence = z.infer<typeof zoneEvidenceSchema>;

export const evidenceSchema = z.object({ schema: z.literal(EVIDENCE_SCHEMA), zones: z.array(zoneEvidenceSchema) });
export type Evidence = z.infer<typeof evidenceSchema>;

export type Field = Readonly<{ surface: FaceSurface; evidence: Evidence }>;

/** What is kept of a field beside the plates: one of each for a comparison. */
export const FIELD_FILES = { surface: 'surface.bin.gz', evidence: 'evidence.json' } as const;
export const FIELD_FILE_NAMES: readonly string[] = Object.values(FIELD_FILES);
