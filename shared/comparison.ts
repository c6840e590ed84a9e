/**
 * The Comparison: all that a report, a page, an export or a study needs, as plain JSON with a versioned schema.
 * Units stand in the names. Loss is negative, gain positive. Left and right are the subject's.
 */
import { z } from 'zod';
import { ZONE_IDS } from './zones.ts';

export const COMPARISON_SCHEMA = 'ebbline.comparison/1';

export const VIEWS = ['frontal', 'oblique-left', 'oblique-right', 'lateral-left', 'lateral-right'] as const;
/** `oblique-left` shows the subject's left cheek. */
export const viewSchema = z.enum(VIEWS);
export type View = z.infer<typeof viewSchema>;

export const zoneIdSchema = z.enum(ZONE_IDS);

/** A value, its standard uncertainty (k = 1) and its 95 % interval, all in the unit its key names. */
export const quantitySchema = z.object({
  value: z.number(),
  u: z.number().nonnegative(),
  ci95: z.tuple([z.number(), z.number()]),
});
export type Quantity = z.infer<typeof quantitySchema>;

/** `caution` is measured with a note; `refuse` makes the photograph or the pair not comparable. */
export const VERDICTS = ['pass', 'caution', 'refuse'] as const;

export const CHECK_IDS = [
  // one photograph
  'face-size',
  'focus',
  'clipping',
  'noise',
  'yaw',
  'pitch',
  'roll',
  'eyes-open',
  'mouth-closed',
  'smile',
  'gaze',
  'face-in-frame',
  'evenness',
  'colour-data',
  'spectacles',
  // a pair
  'view-match',
  'yaw-difference',
  'pitch-difference',
  'roll-difference',
  'perspective',
  'scale-difference',
  'mouth-difference',
  'eyes-difference',
  'brow-difference',
  'smile-difference',
  'light-difference',
  'registration',
  'same-face',
] as const;
export type CheckId = (typeof CHECK_IDS)[number];

export const checkSchema = z.object({
  id: z.enum(CHECK_IDS),
  /** Which photograph, or the pair. */
  of: z.enum(['before', 'after', 'pair', 'photo']),
  view: viewSchema,
  verdict: z.enum(VERDICTS),
  value: z.number().nullable(),
  unit: z.string(),
  /** The bounds that decide: beyond `caution` a note, beyond `refuse` no comparison. Null where there is none. */
  limit: z.object({ caution: z.number().nullable(), refuse: z.number().nullable(), sense: z.enum(['at-most', 'at-least']) }),
  /** What was found, in a sentence a clinician understands. */
  message: z.string(),
  /** What to do about it. Empty when the check passes. */
  advice: z.string(),
});
export type Check = z.infer<typeof checkSchema>;

export const photoFactsSchema = z.object({
  format: z.enum(['jpeg', 'png', 'webp', 'tiff', 'heic', 'dicom']),
  widthPx: z.number().int(),
  heightPx: z.number().int(),
  bitDepth: z.number().int(),
  colourProfile: z.string().nullable(),
  /** How the file stores colour; `cmyk` was converted from print colours, `grey` has one channel. */
  colourModel: z.enum(['rgb', 'grey', 'cmyk']).optional(),
  /** EXIF orientation 1-8 that was applied. */
  orientation: z.number().int(),
  /** Local time as the camera wrote it, `YYYY-MM-DDThh:mm:ss`, or null. */
  takenAt: z.string().nullable(),
  camera: z.string().nullable(),
  lens: z.string().nullable(),
  focalLengthMm: z.number().nullable(),
  focalLength35Mm: z.number().nullable(),
  flashFired: z.boolean().nullable(),
  /** The side of the subject's body that a DICOM file says it shows; absent when none is stated. */
  laterality: z.enum(['left', 'right', 'both', 'unpaired']).optional(),
});
export type PhotoFacts = z.infer<typeof photoFactsSchema>;

export const inputSchema = z.object({
  role: z.enum(['before', 'after']),
  view: viewSchema,
  /** The file's base name; never a path. */
  name: z.string(),
  sha256: z.string().regex(/^[0-9a-f]{64}$/),
  facts: photoFactsSchema,
  pose: z.object({ yawDeg: quantitySchema, pitchDeg: quantitySchema, rollDeg: quantitySchema }),
  interpupillaryPx: z.number(),
});

export const FINDINGS = ['beyond-error', 'within-error', 'not-assessable'] as const;
export type Finding = (typeof FINDINGS)[number];

/** Every metric, with its unit and what it says. The keys are the column names of tables and exports. */
export const METRICS = {
  volumeMl: { unit: 'mL', label: 'Volume', says: 'integral of the displacement over the zone' },
  depthMeanMm: { unit: 'mm', label: 'Mean depth', says: 'mean displacement along the outward normal' },
  depthPeakMm: { unit: 'mm', label: 'Peak depth', says: 'largest displacement along the outward normal, signed' },
  lightnessDelta: { unit: 'L*', label: 'Lightness', says: 'change of CIELAB L* relative to the reference zones' },
  colourDelta: { unit: 'dE00', label: 'Colour', says: 'CIEDE2000 difference of the zone means, relative to the reference zones' },
  rednessDelta: { unit: 'a*', label: 'Redness', says: 'change of CIELAB a* relative to the reference zones' },
  bluenessDelta: { unit: '-b*', label: 'Blueness', says: 'change of CIELAB -b* relative to the reference zones' },
  shadowAreaMm2: { unit: 'mm2', label: 'Shadow area', says: 'change of the area of the fold that lies in shadow' },
  shadowDepthDelta: {
    unit: 'L*',
    label: 'Shadow depth',
    says: 'change of the darkest part of the fold against its flanks; negative is darker',
  },
  contourMm: { unit: 'mm', label: 'Contour', says: 'shift of the border along its outward normal' },
  textureFineRatio: { unit: '1', label: 'Fine texture', says: 'energy at 0.3 to 1 mm, after over before' },
  textureCoarseRatio: { unit: '1', label: 'Coarse texture', says: 'energy at 1 to 4 mm, after over before' },
  highlightDelta: { unit: '1', label: 'Highlight', says: 'change of specular strength relative to the diffuse light' },
} as const;
export type MetricId = keyof typeof METRICS;
export const METRIC_IDS = Object.keys(METRICS) as MetricId[];

/** The metrics that decide a zone's finding; the others describe it. */
export const DECIDING_METRICS = ['volumeMl', 'lightnessDelta'] as const satisfies readonly MetricId[];

export const metricResultSchema = quantitySchema.extend({
  /** Smallest detectable change of this metric in this zone: 1.96 * sqrt(2) * SEM. */
  sdc: z.number().nonnegative(),
  /** Two-sided probability under no change, before and after Holm's correction over the zones. */
  p: z.number(),
  pHolm: z.number(),
  finding: z.enum(FINDINGS),
});
export type MetricResult = z.infer<typeof metricResultSchema>;

export const zoneResultSchema = z.object({
  zone: zoneIdSchema,
  /** A negative control of this comparison. */
  reference: z.boolean(),
  assessable: z.boolean(),
  /** Why it is not assessable, in a sentence; null when it is. */
  whyNot: z.string().nullable(),
  finding: z.enum(FINDINGS),
  areaMm2: z.number(),
  /** Share of the zone's area that was seen well enough to measure, 0..1. */
  seen: z.number(),
  /** Share of the seen area where the light model was trusted, 0..1. */
  trusted: z.number(),
  /** A plain sentence: what was measured and what it means. */
  statement: z.string(),
  metrics: z.partialRecord(z.enum(METRIC_IDS as [MetricId, ...MetricId[]]), metricResultSchema),
});
export type ZoneResult = z.infer<typeof zoneResultSchema>;

export const pooledSchema = z.object({
  zones: z.array(zoneIdSchema),
  volumeMl: quantitySchema,
  p: z.number(),
  finding: z.enum(FINDINGS),
  statement: z.string(),
});

export const registrationSchema = z.object({
  view: viewSchema,
  /** Root mean square of what the alignment left, over the face. */
  residualPx: z.number(),
  residualMm: z.number(),
  /** How much of the measured motion was smooth expression rather than pose. */
  expressionMm: z.number(),
});

export const lightSchema = z.object({
  view: viewSchema,
  /** After over before, of the whole face. */
  exposureRatio: z.number(),
  /** Angle between the fitted dominant directions of light, degrees; null where the light is too even to have one. */
  directionDeg: z.number().nullable(),
  /** Relative brightness left over after the light was normalised, root mean square. */
  residual: z.number(),
});

export const cautionSchema = z.object({ code: z.string(), text: z.string() });
export type Caution = z.infer<typeof cautionSchema>;

export const comparisonSchema = z.object({
  schema: z.literal(COMPARISON_SCHEMA),
  versions: z.object({
    ebbline: z.string(),
    landmarkEngine: z.string(),
    /** SHA-256 of each model used. */
    models: z.record(z.string(), z.string()),
    /** SHA-256 of the parameters below, as canonical JSON. */
    parametersSha256: z.string(),
  }),
  parameters: z.record(z.string(), z.unknown()),
  inputs: z.array(inputSchema),
  gate: z.object({ comparable: z.boolean(), checks: z.array(checkSchema) }),
  scale: z
    .object({
      mmPerPx: z.number(),
      source: z.enum(['iris', 'interpupillary', 'marker']),
      /** Relative standard uncertainty, common to every length; areas double it, volumes treble it. */
      relU: z.number(),
    })
    .nullable(),
  registration: z.array(registrationSchema),
  light: z.array(lightSchema),
  /** `reference-zones` says whether the negative control held. */
  control: z.object({ trusted: z.boolean(), statement: z.string() }),
  zones: z.array(zoneResultSchema),
  pooled: pooledSchema.nullable(),
  /** Where the standard errors come from. */
  errorSource: z.enum(['validation', 'own-repeats']),
  cautions: z.array(cautionSchema),
});
/** An incomparable pair has `gate.comparable` false, `scale` perhaps null, and no zones. */
export type Comparison = z.infer<typeof comparisonSchema>;
