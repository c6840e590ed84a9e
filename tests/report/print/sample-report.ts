/** A report's content for tests: small pictures made on the spot, a complaint made up word by word, and the longest that either can be. */
import { encodeImage } from '#lib/photo/encode.ts';
import type { ComparisonContent } from '#lib/report/print/comparison-report.ts';
import type { Stamp } from '#lib/report/print/stamp.ts';
import type { Subject } from '#lib/report/print/subject.ts';
import type { ReportView } from '#lib/report/report-views.ts';
import { type Complaint, complaintSchema } from '#shared/case.ts';
import { type Comparison, METRIC_IDS, VIEWS, type View, type ZoneResult } from '#shared/comparison.ts';
import type { PlateInfo } from '#shared/plates.ts';
import { ZONE_IDS } from '#shared/zones.ts';
import { metric, sampleComparison } from '#tests/report/sample-comparison.ts';
import { sampleEvidence, sampleEvidences } from '#tests/report/sample-field.ts';

/** A grey slope, 60 x 80 px. `shade` makes pictures that are not the same bytes. */
export const jpeg = (shade: number): Promise<Uint8Array> =>
  encodeImage(
    { width: 60, height: 80, channels: 3, data: Uint8Array.from({ length: 60 * 80 * 3 }, (_, k) => (k / 90 + shade) % 256) },
    'jpeg',
    { quality: 80 },
  );

const info = (view: View): PlateInfo => ({
  view,
  width: 60,
  height: 80,
  mmPerPx: 2,
  displacementSpanMm: 2,
  lightnessSpan: 5,
  zoneOutlines: Object.fromEntries(ZONE_IDS.map((zone, k) => [zone, [[2 * k, 10, 2 * k + 6, 10, 2 * k + 6, 20, 2 * k, 20]]])),
});

export async function sampleView(view: View, seed = 0): Promise<ReportView> {
  const parts = ['beforeAsTaken', 'afterAsTaken', 'before', 'afterAligned', 'afterRelit', 'changePicture', 'lightnessPicture'] as const;
  const pictures: Partial<Record<(typeof parts)[number], Uint8Array>> = {};
  for (const [k, part] of parts.entries()) pictures[part] = await jpeg(seed + 7 * k);
  return { view, info: info(view), pictures };
}

export const sampleSubject = (changes: Partial<Subject> = {}): Subject => ({
  code: 'MF-014',
  name: null,
  before: { on: '2026-09-01', label: 'baseline' },
  after: { on: '2026-11-20', label: 'day 80' },
  treatments: [
    { on: '2026-09-01', purpose: 'gel-dissolved', zones: ['midface-left', 'midface-right'], productClass: null, volumeMl: null },
  ],
  ...changes,
});

export const sampleStamp = (changes: Partial<Stamp> = {}): Stamp => ({
  version: 1,
  signed: null,
  replaces: null,
  contentSha256: 'c0ffee'.repeat(10) + 'abcd',
  asOf: '2026-11-24T09:30:00.000Z',
  practiceName: 'Practice at the Park',
  ...changes,
});

export const SIGNED = { by: 'Dr Ada Example', at: '2026-11-24T10:00:00.000Z' } as const;

export async function sampleContent(): Promise<ComparisonContent> {
  return {
    comparison: sampleComparison(),
    evidence: sampleEvidences([sampleEvidence('midface-left', -1.4), sampleEvidence('midface-right', -1.1)]),
    views: [await sampleView('frontal')],
    subject: sampleSubject(),
  };
}

/** All zones beyond error with every metric, five views, the longest code and labels. */
export async function longestContent(): Promise<ComparisonContent> {
  const views: ReportView[] = [];
  for (const [k, view] of VIEWS.entries()) views.push(await sampleView(view, 31 * k));
  return {
    comparison: everythingChanged(),
    evidence: sampleEvidences(ZONE_IDS.map((zone, k) => sampleEvidence(zone, -0.1 * k))),
    views,
    subject: sampleSubject({
      code: 'A'.repeat(32),
      before: { on: '2026-09-01', label: 'w'.repeat(60) },
      after: { on: '2026-11-20', label: 'm'.repeat(60) },
      treatments: [{ on: '2026-11-12', purpose: 'gel-dissolved', zones: [...ZONE_IDS], productClass: null, volumeMl: null }],
    }),
  };
}

export function everythingChanged(): Comparison {
  const comparison = sampleComparison();
  const zone = (one: ZoneResult): ZoneResult => ({
    ...one,
    reference: false,
    assessable: true,
    whyNot: null,
    finding: 'beyond-error',
    metrics: Object.fromEntries(METRIC_IDS.map((id) => [id, metric(-12.34, 0.2, 1e-8, 'beyond-error')])),
  });
  const check = comparison.gate.checks[1]!;
  return {
    ...comparison,
    zones: comparison.zones.map(zone),
    gate: {
      comparable: true,
      checks: VIEWS.flatMap((view) => comparison.gate.checks.map((one) => ({ ...one, view }))).concat(Array(20).fill(check)),
    },
  };
}

const at = (time: string): string => `2026-11-24T${time}.000Z`;

/** Heard, rated, revealed and concluded in this order. */
export const sampleComplaint = (changes: Partial<Complaint> = {}): Complaint =>
  complaintSchema.parse({
    id: '1'.repeat(32),
    case: '2'.repeat(32),
    on: '2026-11-24',
    beforeVisit: '3'.repeat(32),
    afterVisit: '4'.repeat(32),
    stage: 'concluded',
    openedAt: at('09:00:00'),
    patient: {
      at: at('09:10:11'),
      part: {
        words:
          'I look different. My cheeks are flat.\n\nMy sister \u0396\u03c9\u03ae and \u041d\u0430\u0442\u0430\u043b\u044c\u044f say so too. \u5229\u5b50',
        severity: 7,
        howOften: 'every-day',
        zones: ['midface-left', 'midface-right', 'jawline-right'],
        marks: [
          { x: 0.6, y: 0.5 },
          { x: 0.4, y: 0.52 },
        ],
        callsMe: null,
      },
    },
    examiner: {
      at: at('09:20:30'),
      part: {
        examiner: 'Dr Ada Example',
        grades: { 'midface-left': 'slightly-less', 'midface-right': 'no-difference', 'jawline-right': 'cannot-say', chin: 'slightly-more' },
        note: 'Light from the window.',
      },
    },
    revealed: { at: at('09:21:00'), comparison: '5'.repeat(32) },
    conclusion: { at: at('09:40:00'), part: { steps: ['discuss', 'review-again'], reviewOn: '2026-12-08', note: 'Calm talk.' } },
    additions: [{ at: at('15:00:00'), by: 'Dr Ada Example', text: 'Called; will come.' }],
    revision: 6,
    ...changes,
  });
