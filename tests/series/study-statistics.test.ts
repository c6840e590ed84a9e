import { createHash } from 'node:crypto';
import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { deidentifier } from '#lib/series/deidentify.ts';
import { gatherStudy, type StudyData } from '#lib/series/study-data.ts';
import { studyRepeatability } from '#lib/series/study-repeatability.ts';
import { type StudyRequest, studyStatistics } from '#lib/series/study-statistics.ts';
import { readPairs, readRatings, resultReader } from '#lib/series/study-tables.ts';
import { PAIRS, RATINGS, RESULTS } from '#lib/series/table-fields.ts';
import { tableHead, tableLines } from '#lib/series/table-text.ts';
import { canonicalJson } from '#shared/canonical-json.ts';
import type { Outcome } from '#shared/outcome.ts';
import { type Answered, type GroupQuestion, isAnswered, type StudyReport, studySchema } from '#shared/study.ts';
import { SAMPLE_SEM, SAMPLE_ZONES, type SampleStudy, sampleStudy, sampleTables } from './sample-study.ts';

const HASH = 'a'.repeat(64);
const REQUEST: StudyRequest = {
  title: 'Made-up study',
  day: '2026-11-01',
  madeFrom: { resultsSha256: HASH, pairsSha256: HASH, ratingsSha256: HASH },
  options: { seed: 1, perSubject: 'last', untrusted: 'left-out', against: null, covariate: null, alpha: 0.05 },
};
const value = <T>(outcome: Outcome<T, string>): T => {
  if (!outcome.ok) throw new Error(outcome.detail);
  return outcome.value;
};
function gathered({ pairs, rows, ratings }: SampleStudy): StudyData {
  const gather = gatherStudy(pairs, ratings);
  rows.forEach((row, i) => void value(gather.add(row, i + 1)));
  return gather.done();
}
const study = (sample: SampleStudy, request: Partial<StudyRequest> = {}): StudyReport =>
  value(studyStatistics(gathered(sample), { ...REQUEST, ...request }));
function answered<T extends { zone: string | null; metric?: string; answer: { ok: boolean; detail?: string } }>(
  rows: readonly T[],
  zone: string | null,
  metric = 'volumeMl',
): Answered<T>['answer'] {
  const row = rows.find((one) => one.zone === zone && (one.metric ?? metric) === metric);
  if (!row || !isAnswered(row)) throw new Error(row?.answer.detail ?? `no ${zone}`);
  return row.answer as Answered<T>['answer'];
}

const sample = sampleStudy();
const whole = study(sample);

describe('law', () => {
  it('recovers what was planted: error, loss, difference of groups, and nothing where nothing was', () => {
    const midface = answered(whole.change, 'midface-left');
    const planted = sample.pairs.filter((pair) => pair.afterVisit === 'month 3').length;
    expect(midface.subjects).toBeLessThanOrEqual(planted);
    expect(midface.ci95[0]).toBeLessThan((21 * -0.5 + 15 * -0.2) / 36);
    expect(midface.ci95[1]).toBeLessThan(0);
    expect(midface.pHolm).toBeLessThan(0.01);
    const ofQuestion = (report: StudyReport, question: GroupQuestion) => report.groups.filter((row) => row.question === question);
    const between = answered(ofQuestion(whole, 'after-first'), 'midface-left');
    expect(between.covariate?.name).toBe('change at the first follow-up');
    const covariate = { name: 'a number', of: new Map(sample.pairs.map((p, i) => [p.subject, (i * 7) % 5])) };
    const adjusted = answered(ofQuestion(study(sample, { covariate }), 'whole-change'), 'midface-left');
    expect(adjusted.covariate?.name).toBe('a number');
    const plain = answered(ofQuestion(whole, 'whole-change'), 'midface-left');
    expect(plain.method).toContain('Welch');
    expect(plain.covariate).toBe(null);
    const [difference] = plain.differences;
    expect([difference.against, difference.group]).toEqual(['quick', 'slow']);
    expect(difference.ci95[0]).toBeLessThan(0.3);
    expect(difference.ci95[1]).toBeGreaterThan(0.3);
    for (const row of whole.change)
      if (isAnswered(row) && !row.zone.startsWith('midface') && row.answer.pHolm !== null) expect(row.answer.pHolm).toBeGreaterThan(0.05);
  });

  it('has intervals of the SEM that cover the planted error 95 times in 100, with one pair a subject or several', () => {
    let [inside, all] = [0, 0];
    for (let seed = 100; seed < 140; seed++) {
      const data = gathered(sampleStudy(seed));
      for (const zone of SAMPLE_ZONES) {
        const seen = studyRepeatability(data, data.column(zone, 'volumeMl'), REQUEST.options);
        if (!seen.ok) throw new Error(seen.detail);
        all++;
        if (seen.semCi95[0] <= SAMPLE_SEM.volumeMl && SAMPLE_SEM.volumeMl <= seen.semCi95[1]) inside++;
      }
    }
    // Four standard errors of a share of 360.
    expect(Math.abs(inside / all - 0.95)).toBeLessThan(4 * Math.sqrt((0.95 * 0.05) / all));
    // Three further differences are too few to tell the scatter within subjects; those of 220 subjects are enough.
    expect(answered(whole.repeatability, 'midface-left').agreement?.method).toContain('first difference of each subject');
    const many = gathered(sampleStudy(5, 220));
    const seen = studyRepeatability(many, many.column('midface-left', 'volumeMl'), REQUEST.options);
    expect(seen.ok && seen.agreement?.method).toContain('several differences');
  });

  it('keeps reference zones out of the correction for many zones', () => {
    expect(answered(whole.change, 'forehead').pHolm).toBe(null);
    expect(answered(whole.change, 'chin').pHolm).not.toBe(null);
  });

  it('counts each subject once', () => {
    const twice = study({ ...sample, rows: sample.rows.filter(({ kind }) => kind === 'change') });
    const { subjects, pairs, clustered } = answered(twice.change, 'midface-left');
    expect(pairs).toBeGreaterThan(subjects);
    expect(clustered?.pairs).toBe(pairs);
  });

  it('works with raters: kappa for every two, ICC by name, ROC that tells worse', () => {
    const kappas = whole.raters.kappa.filter(({ zone }) => zone === 'midface-left');
    expect(kappas).toHaveLength(3);
    for (const { answer } of kappas) expect(answer.ok && answer.quadratic.value).toBeGreaterThan(0.5);
    expect(answered(whole.raters.reliability, 'midface-right').forms.map(({ form }) => form)).toEqual([
      'ICC(2,1)',
      'ICC(3,1)',
      'ICC(2,k)',
      'ICC(3,k)',
    ]);
    const roc = answered(whole.raters.roc, null);
    expect(roc.method).toContain('Obuchowski');
    expect(roc.area).toBeGreaterThan(0.8);
    expect(roc.cut.value).toBeLessThan(0);
  });

  it('plans with the standard deviations that it saw', () => {
    const { rows, sdOfError, sdSeen } = answered(whole.sampleSize, 'midface-left');
    expect(sdOfError).toBeCloseTo(Math.SQRT2 * answered(whole.repeatability, 'midface-left').sem, 10);
    expect(sdSeen!).toBeGreaterThan(sdOfError!);
    expect(rows.every((row, i) => i === 0 || row.fromSeen! <= rows[i - 1].fromSeen!)).toBe(true);
  });

  it('accounts for every pair', () => {
    const { change, repeat, reasons } = whole.flow;
    for (const part of [change, repeat]) expect(part.measured + part.notComparable + part.failed).toBe(part.pairs);
    expect(change.pairs + repeat.pairs).toBe(sample.pairs.length);
    expect(change.used).toBe(change.measured - change.untrusted);
    expect(reasons.find(({ reason }) => reason === 'smile-difference')!.pairs).toBe(
      sample.pairs.filter(({ reasons: own }) => own.includes('smile-difference')).length,
    );
  });

  it('fits its schema, has no number that is none, and is the same whatever the order of rows', () => {
    studySchema.parse(whole);
    const text = canonicalJson(whole);
    expect(canonicalJson(study({ ...sample, rows: sample.rows.toReversed() }))).toBe(text);
    expect(canonicalJson(study(sample))).toBe(text);
    expect(canonicalJson(study(sample, { options: { ...REQUEST.options, seed: 2 } }))).not.toBe(text);
  });

  it('comes through the tables as it was', () => {
    const tables = sampleTables(sample);
    const pairs = value(readPairs(tables.pairs));
    expect(pairs).toEqual(sample.pairs);
    expect(value(readRatings(tables.ratings))).toEqual(sample.ratings);
    const [head, ...cells]: string[][] = parse(tables.results);
    const read = value(resultReader(head));
    const rows = cells.map((row, i) => value(read(row, i + 1)));
    rows.forEach((row, i) => void expect(sample.rows[i]).toMatchObject(row));
  });

  it('reads what the series writes: its own tables come back as they were', () => {
    expect(value(readPairs(tableHead(PAIRS) + tableLines(PAIRS, sample.pairs)))).toEqual(sample.pairs);
    expect(value(readRatings(tableHead(RATINGS) + tableLines(RATINGS, sample.ratings)))).toEqual(sample.ratings);
    const [head, ...cells]: string[][] = parse(tableHead(RESULTS) + tableLines(RESULTS, sample.rows));
    const read = value(resultReader(head));
    cells.forEach((row, i) => void expect(sample.rows[i]).toMatchObject(value(read(row, i + 1))));
  });

  it('says the same of tables that were made anonymous, visits by their order', () => {
    const hidden = deidentifier((kind, words) => createHash('sha256').update(`key ${kind} ${words}`).digest('hex'), { keepGroups: true });
    const anonymous = study({
      pairs: sample.pairs.map(hidden.pair),
      rows: sample.rows.map(hidden.tidy),
      ratings: sample.ratings.map(hidden.rating),
    });
    const points = answered(anonymous.course, 'midface-left').points;
    expect([...new Set(points.map(({ visit }) => visit))]).toEqual(['follow-up 1', 'follow-up 2']);
    const [seen, wanted] = [anonymous, whole].map((report) => answered(report.change, 'midface-left'));
    expect(seen.subjects).toBe(wanted.subjects);
    expect(seen.mean).toBeCloseTo(wanted.mean, 12);
    expect(seen.signedRank?.p).toBeCloseTo(wanted.signedRank!.p, 12);
    expect(answered(anonymous.repeatability, 'midface-left').sem).toBeCloseTo(answered(whole.repeatability, 'midface-left').sem, 12);
    expect(answered(anonymous.raters.roc, null).area).toBeCloseTo(answered(whole.raters.roc, null).area, 12);
  });

  it('answers or refuses whatever is missing, always in its schema', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 9 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.integer({ min: 0, max: 1e6 }),
        fc.constantFrom('last', 'first', 'mean'),
        (subjects, kept, seed, perSubject) => {
          const small = sampleStudy(seed, subjects);
          const rows = small.rows
            .filter((_, i) => ((i * 7919 + seed) % 1000) / 1000 < kept)
            .map((row) => ({ ...row, value: row.value === null || seed % 3 > 0 ? row.value : Math.max(1, Math.round(row.value)) }));
          const ratings = small.ratings.filter((_, i) => (i * 31 + seed) % 10 < 10 * kept);
          const report = study(
            { ...small, rows, ratings },
            { options: { ...REQUEST.options, perSubject, untrusted: seed % 2 ? 'kept' : 'left-out' } },
          );
          expect(studySchema.safeParse(report).error).toBeUndefined();
          for (const refusal of JSON.stringify(report).matchAll(/"detail":"((?:[^"\\]|\\.)*)"/g)) expect(refusal[1]).toMatch(/[.]$/);
        },
      ),
      { numRuns: 25 },
    );
  });
});

describe('refusal', () => {
  it('empty', () =>
    expect(studyStatistics(gathered({ pairs: [], rows: [], ratings: [] }), REQUEST)).toMatchObject({ ok: false, why: 'empty' }));
  it('says of magnitudes that they have no mean change', () => {
    expect(whole.change.find(({ metric }) => metric === 'colourDelta')?.answer).toMatchObject({ ok: false, why: 'no-sign' });
  });
  it('names table, row and column of what does not fit', () => {
    const tables = sampleTables(sample);
    expect(readPairs(tables.pairs.replace('measured', 'guessed'))).toMatchObject({
      ok: false,
      why: 'row',
      detail: expect.stringMatching(/pairs\.csv, row \d+, column "state"/),
    });
    expect(readPairs(tables.pairs.replace('controlTrusted', 'trust'))).toMatchObject({ ok: false, why: 'columns' });
    expect(readPairs('a,"b\n')).toMatchObject({ ok: false, why: 'not-a-table' });
    const line = tables.pairs.split('\r\n');
    expect(readPairs([...line.slice(0, 2), line[1], ''].join('\r\n'))).toMatchObject({
      ok: false,
      why: 'row',
      detail: expect.stringContaining('twice'),
    });
    const [head, first]: string[][] = parse(tables.results, { to: 2 });
    const read = value(resultReader(head));
    for (const [column, cell] of [
      ['zone', 'ear'],
      ['metric', 'x'],
      ['value', 'NaN'],
      ['u', '-1'],
      ['assessable', 'yes'],
      ['finding', ''],
    ] as const)
      expect(
        read(
          first.map((old, k) => (head[k] === column ? cell : old)),
          5,
        ),
      ).toMatchObject({ ok: false, detail: expect.stringContaining(`row 5, column "${column}"`) });
    expect(resultReader(['pair'])).toMatchObject({ ok: false, why: 'columns' });
  });
  it('a row of a strange pair, and one that stands there twice', () => {
    const gather = gatherStudy(sample.pairs, []);
    expect(gather.add({ ...sample.rows[0], pair: 'nobody' }, 3)).toMatchObject({ ok: false, detail: expect.stringContaining('row 3') });
    expect(gather.add(sample.rows[0], 4)).toMatchObject({ ok: true });
    expect(gather.add(sample.rows[0], 5)).toMatchObject({ ok: false, detail: expect.stringContaining('twice') });
    expect(gather.add({ ...sample.rows.find((row) => row.metric === 'textureFineRatio')!, value: 0 }, 6)).toMatchObject({ ok: false });
  });
});
