/**
 * A Comparison for tests: a frontal pair with a loss in both midfaces, made up number by number, and variants of it.
 * Not a measurement; nothing here is taken as truth about the measuring.
 */
import {
  type Check,
  COMPARISON_SCHEMA,
  type Comparison,
  comparisonSchema,
  type MetricResult,
  type Quantity,
  type ZoneResult,
} from '#shared/comparison.ts';
import { REFERENCE_ZONES, ZONE_IDS, type ZoneId } from '#shared/zones.ts';

export const quantity = (value: number, u: number): Quantity => ({ value, u, ci95: [value - 1.96 * u, value + 1.96 * u] });

export const metric = (value: number, u: number, p: number, finding: MetricResult['finding']): MetricResult => ({
  ...quantity(value, u),
  sdc: 1.96 * Math.SQRT2 * u,
  p,
  pHolm: Math.min(1, p * 28),
  finding,
});

/** Volume in mL and its u; everything else within error. */
const VOLUMES: Partial<Record<ZoneId, [number, number, number]>> = {
  'midface-left': [-1.04, 0.19, 4.4e-8],
  'midface-right': [-0.87, 0.2, 1.4e-5],
  'infraorbital-left': [-0.21, 0.12, 0.08],
  'submalar-left': [0.02, 0.16, 0.9],
};

function zone(id: ZoneId, index: number): ZoneResult {
  if (id === 'jawline-right')
    return {
      zone: id,
      reference: false,
      assessable: false,
      whyNot: 'Hair covers most of the zone in the after photograph.',
      finding: 'not-assessable',
      areaMm2: 900,
      seen: 0.21,
      trusted: 0.5,
      statement: 'Jawline, right: not assessable. Hair covers most of the zone in the after photograph.',
      metrics: {},
    };
  const [value, u, p] = VOLUMES[id] ?? [0.01 * ((index % 5) - 2), 0.15, 0.5 + 0.015 * index];
  const finding = p < 0.05 / 28 ? 'beyond-error' : 'within-error';
  return {
    zone: id,
    reference: REFERENCE_ZONES.includes(id),
    assessable: true,
    whyNot: null,
    finding,
    areaMm2: 700 + 10 * index,
    seen: 0.97,
    trusted: 0.91,
    statement: `${id}: a made-up sentence.`,
    metrics: { volumeMl: metric(value, u, p, finding), lightnessDelta: metric(-0.4, 0.6, 0.5, 'within-error') },
  };
}

const check = (id: Check['id'], of: Check['of'], verdict: Check['verdict'], message: string, advice = ''): Check => ({
  id,
  of,
  view: 'frontal',
  verdict,
  value: 3.2,
  unit: 'deg',
  limit: { caution: 5, refuse: 10, sense: 'at-most' },
  message,
  advice,
});

const input = (role: 'before' | 'after', takenAt: string | null): Comparison['inputs'][number] => ({
  role,
  view: 'frontal',
  name: `${role}.jpg`,
  sha256: (role === 'before' ? 'a' : 'b').repeat(64),
  facts: {
    format: 'jpeg',
    widthPx: 3000,
    heightPx: 4000,
    bitDepth: 8,
    colourProfile: 'sRGB',
    orientation: 1,
    takenAt,
    camera: 'Camera <One>',
    lens: null,
    focalLengthMm: 50,
    focalLength35Mm: 75,
    flashFired: false,
  },
  pose: { yawDeg: quantity(1, 0.4), pitchDeg: quantity(-2, 0.6), rollDeg: quantity(0.3, 0.2) },
  interpupillaryPx: 310,
});

/** Two midfaces beyond error; the control holds. */
export function sampleComparison(): Comparison {
  return comparisonSchema.parse({
    schema: COMPARISON_SCHEMA,
    versions: { ebbline: '0.1.0', landmarkEngine: '0.10.35', models: { face: 'c'.repeat(64) }, parametersSha256: 'd'.repeat(64) },
    parameters: {},
    inputs: [input('before', '2026-09-01T10:00:00'), input('after', '2026-11-20T10:00:00')],
    gate: {
      comparable: true,
      checks: [
        check('yaw-difference', 'pair', 'pass', 'The head turns by 1.1 degrees between the photographs.'),
        check(
          'light-difference',
          'pair',
          'caution',
          'The light comes from 6 degrees further left in the after photograph.',
          'Keep the lamps where they were.',
        ),
      ],
    },
    scale: { mmPerPx: 0.2, source: 'iris', relU: 0.043 },
    registration: [{ view: 'frontal', residualPx: 0.6, residualMm: 0.12, expressionMm: 0.4 }],
    light: [{ view: 'frontal', exposureRatio: 1.05, directionDeg: 6, residual: 0.014 }],
    control: { trusted: true, statement: 'The reference zones stayed within error.' },
    zones: ZONE_IDS.map(zone),
    pooled: {
      zones: ['midface-left', 'midface-right'],
      volumeMl: quantity(-1.91, 0.28),
      p: 1e-9,
      finding: 'beyond-error',
      statement: 'Together -1.91 mL.',
    },
    errorSource: 'validation',
    cautions: [],
  });
}

/** The pair was refused: nothing is measured. */
export function incomparable(): Comparison {
  const comparison = sampleComparison();
  return {
    ...comparison,
    gate: {
      comparable: false,
      checks: [
        check(
          'perspective',
          'pair',
          'refuse',
          'The camera was 20 cm away before and 1.2 m away after.',
          'Photograph both times from the same distance.',
        ),
      ],
    },
    scale: null,
    registration: [],
    light: [],
    zones: [],
    pooled: null,
    control: { trusted: false, statement: 'Nothing was measured.' },
  };
}
