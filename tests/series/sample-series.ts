/** Pairs, answers and the head of a series for tests; nothing here is a measurement. */
import { createHash } from 'node:crypto';
import type { PairAnswer, SeriesAsk, SeriesHead } from '#lib/record/series/types.ts';
import type { SeriesPair } from '#shared/series.ts';
import { incomparable, sampleComparison } from '#tests/report/sample-comparison.ts';

export const pairOf = (subject: string): SeriesPair => ({
  pair: `${subject}/v1/v2`,
  kind: 'change',
  subject,
  group: null,
  beforeVisit: 'v1',
  afterVisit: 'v2',
  beforeOn: '2026-09-01',
  afterOn: '2026-11-20',
  treatedOn: null,
  concernZones: [],
  before: [{ file: `${subject}/before.jpg`, view: null }],
  after: [{ file: `${subject}/after.jpg`, view: null }],
});

export const pairsNamed = (subjects: readonly string[]): SeriesPair[] => subjects.map(pairOf);

export const headOf = (ask: Partial<SeriesAsk> = {}): SeriesHead => ({
  ask: { scale: null, setUp: null, ...ask },
  manifestName: 'manifest.csv',
  manifestSha256: 'e'.repeat(64),
  ratings: [{ pair: 'a/v1/v2', rater: 'R1', zone: null, grade: -2 }],
  leftOut: [{ line: 3, code: 'file-missing', message: 'There is no file "x.jpg".' }],
});

/** One and the same for each id and state. */
export function answerOf(id: string, state: 'measured' | 'not-comparable' = 'measured'): PairAnswer {
  const hash = (text: string): string => createHash('sha256').update(text).digest('hex');
  const comparison = state === 'measured' ? sampleComparison() : incomparable();
  const inputs = comparison.inputs.map((input) => ({ ...input, sha256: hash(`${id} ${input.role}`) }));
  return {
    state,
    key: hash(`${id} ${state}`),
    inputs: inputs.map(({ role, sha256, name }) => ({ role, file: `${id.split('/')[0]}/${name}`, sha256, bytes: 1234, stamp: null })),
    comparison: { ...comparison, inputs },
  };
}
