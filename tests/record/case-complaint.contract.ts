/** What every store must do with a complaint: its order, what is recorded once, and that every change leaves its line. */
import { describe, expect, it } from 'vitest';
import type { CaseBook } from '#lib/record/case-types.ts';
import type { RecordStore } from '#lib/record/types.ts';
import {
  comparedCase,
  complaintDraft,
  examinerPart,
  got,
  patientPart,
  pdf,
  sampleCase,
  shelved,
  treatmentDraft,
  whyNot,
} from './sample-cases.ts';

type WithBook = (work: (book: CaseBook, record: RecordStore, other: CaseBook) => Promise<void>) => Promise<void>;

const NOBODY = '0'.repeat(32);
const CONCLUSION = { steps: ['wait' as const], reviewOn: '2026-02-05', note: 'Water loss is expected now.' };

export function complaintContract(withBook: WithBook): void {
  describe('law: a complaint', () => {
    it('goes from the patient to the examiner, the measurement and the conclusion, and keeps each moment', () =>
      withBook(async (book, record) => {
        const sample = await sampleCase(record, book);
        const comparison = await comparedCase(record, book, sample);
        const opened = await got(book.openComplaint(sample.id, complaintDraft(sample)));
        expect(opened).toMatchObject({
          stage: 'opened',
          patient: null,
          examiner: null,
          revealed: null,
          conclusion: null,
          additions: [],
          revision: 1,
        });
        const heard = await got(book.hear(opened.id, 1, patientPart({ callsMe: sample.photos[0]! })));
        expect(heard).toMatchObject({ stage: 'heard', patient: { part: patientPart({ callsMe: sample.photos[0]! }) }, revision: 2 });
        const rated = await got(book.rate(opened.id, 2, examinerPart()));
        const revealed = await got(book.reveal(opened.id, 3, comparison));
        const concluded = await got(book.conclude(opened.id, 4, CONCLUSION));
        expect(concluded).toMatchObject({
          stage: 'concluded',
          revision: 5,
          patient: heard.patient,
          examiner: rated.examiner,
          revealed: revealed.revealed,
        });
        const times = [concluded.openedAt, concluded.patient?.at, concluded.examiner?.at, concluded.revealed?.at, concluded.conclusion?.at];
        expect(times).toEqual(times.toSorted());
        const added = await got(book.addToComplaint(opened.id, ' She called on Friday. '));
        expect(added.additions).toMatchObject([{ by: 'Ada', text: 'She called on Friday.' }]);
        expect(await book.complaint(opened.id)).toEqual(added);
        expect((await book.caseFile(sample.id))?.complaints).toEqual([added]);
        expect(await book.complaint(NOBODY)).toBeNull();
        const report = await got(book.putReport(sample.id, 'complaint', opened.id, pdf('x')));
        expect(report.kind).toBe('complaint');
      }));
    it('says in the audit how often the result had been looked at before the rating', () =>
      withBook(async (book, record) => {
        const sample = await sampleCase(record, book);
        const comparison = await comparedCase(record, book, sample);
        const { id } = await got(book.openComplaint(sample.id, complaintDraft(sample)));
        await got(book.hear(id, 1, patientPart()));
        await book.note({ action: 'view', what: 'comparison', id: comparison, case: sample.id, facts: {} });
        await got(book.rate(id, 2, examinerPart()));
        expect((await record.audit.lines({ limit: 1 }))[0]?.facts).toEqual({ stage: 'rated', resultsSeenBefore: 1 });
      }));
  });

  describe('refusal: a complaint', () => {
    it('every step out of its order, and every part recorded twice', () =>
      withBook(async (book, record) => {
        const sample = await sampleCase(record, book);
        const comparison = await comparedCase(record, book, sample);
        const { id } = await got(book.openComplaint(sample.id, complaintDraft(sample)));
        const steps = [
          (revision: number) => book.hear(id, revision, patientPart()),
          (revision: number) => book.rate(id, revision, examinerPart()),
          (revision: number) => book.reveal(id, revision, comparison),
          (revision: number) => book.conclude(id, revision, CONCLUSION),
        ];
        for (let stage = 0; stage <= steps.length; stage++) {
          const revision = stage + 1;
          for (const [n, step] of steps.entries())
            if (n !== stage) expect([stage, n, await whyNot(step(revision))]).toEqual([stage, n, n < stage ? 'locked' : 'out-of-order']);
          if (stage < steps.length) await got(steps[stage]!(revision) as ReturnType<typeof book.hear>);
        }
      }));
    it('the later of two who record the same part', () =>
      withBook(async (book, record, other) => {
        const sample = await sampleCase(record, book);
        const { id } = await got(book.openComplaint(sample.id, complaintDraft(sample)));
        await got(book.hear(id, 1, patientPart()));
        expect(await whyNot(other.hear(id, 1, patientPart({ words: 'Otherwise.' })))).toBe('changed-meanwhile');
        expect((await book.complaint(id))?.patient?.part.words).toBe(patientPart().words);
      }));
    it('zones left ungraded, a photograph of nobody, a comparison that does not fit, an empty addition', () =>
      withBook(async (book, record) => {
        const sample = await sampleCase(record, book, 'A');
        const other = await sampleCase(record, book, 'B');
        const strange = await comparedCase(record, book, other);
        const { id } = await got(book.openComplaint(sample.id, complaintDraft(sample)));
        expect(await whyNot(book.hear(id, 1, patientPart({ callsMe: other.photos[0]! })))).toBe('unfit');
        await got(book.hear(id, 1, patientPart()));
        expect(await whyNot(book.rate(id, 2, examinerPart({ grades: { 'midface-left': 'cannot-say' } })))).toBe('unfit');
        await got(book.rate(id, 2, examinerPart()));
        expect(await whyNot(book.reveal(id, 3, strange))).toBe('unfit');
        const unmeasured = await got(book.compareVisits(sample.id, sample.before.id, sample.after.id));
        expect(await whyNot(book.reveal(id, 3, unmeasured.id))).toBe('unfit');
        expect(await whyNot(book.addToComplaint(id, '  '))).toBe('unfit');
        expect(await whyNot(book.addToComplaint(NOBODY, 'x'))).toBe('gone');
        expect(await whyNot(book.hear(NOBODY, 1, patientPart()))).toBe('gone');
      }));
    it('two visits that are one, the wrong way round, or of another case', () =>
      withBook(async (book, record) => {
        const sample = await sampleCase(record, book, 'A');
        const other = await sampleCase(record, book, 'B');
        const ask = (beforeVisit: string, afterVisit: string) =>
          book.openComplaint(sample.id, { on: '2026-02-01', beforeVisit, afterVisit });
        expect(await whyNot(ask(sample.before.id, sample.before.id))).toBe('unfit');
        expect(await whyNot(ask(sample.after.id, sample.before.id))).toBe('unfit');
        expect(await whyNot(ask(sample.before.id, other.after.id))).toBe('gone');
        expect(await whyNot(book.openComplaint(NOBODY, complaintDraft(sample)))).toBe('gone');
      }));
    it('to take away what it rests on', () =>
      withBook(async (book, record) => {
        const sample = await sampleCase(record, book);
        const comparison = await comparedCase(record, book, sample);
        const named = await shelved(record, 'named');
        const { visits } = await got(
          book.addPhotos(sample.id, [{ on: '2025-06-01', photos: [{ sha256: named, name: 'n.jpg', view: 'frontal', takenAt: null }] }]),
        );
        const { id } = await got(book.openComplaint(sample.id, complaintDraft(sample)));
        await got(book.hear(id, 1, patientPart({ callsMe: named })));
        await got(book.rate(id, 2, examinerPart()));
        await got(book.reveal(id, 3, comparison));
        expect(await whyNot(book.deleteComparison(comparison))).toBe('in-use');
        expect(await whyNot(book.removePhotoFromVisit(visits[0]!.id, named))).toBe('in-use');
        expect(await whyNot(book.deleteVisit(visits[0]!.id, visits[0]!.revision))).toBe('in-use');
        expect(await whyNot(book.deleteVisit(sample.before.id, sample.before.revision))).toBe('in-use');
        expect(await got(book.deleteCase(sample.id))).toMatchObject({ photos: 3, comparisons: 1 });
      }));
  });

  describe('law: every change leaves its line', () => {
    it('in the hands of who made it, in order, without a name or a word of free text, and a refusal leaves none', () =>
      withBook(async (book, record, other) => {
        const sample = await sampleCase(record, book);
        const { id, before } = sample;
        const count = async () => (await record.audit.lines({ limit: 1 }))[0]?.n ?? 0;
        const changes: [string, () => Promise<unknown>][] = [
          ['change case', () => book.editCase(id, 1, { code: 'A-01', name: 'Maud Winterbourne-Vale', birthYear: 1972, note: 'secret' })],
          ['view case', () => book.openCase(id)],
          ['change visit', () => book.editVisit(before.id, before.revision, { on: before.on, label: 'secret', note: 'secret' })],
          ['change visit', () => book.setBaseline(sample.after.id)],
          ['change photo', () => book.setPhotoView(before.id, sample.photos[0]!, 'oblique-left')],
          ['change photo', () => book.setPhotoView(before.id, sample.photos[0]!, 'frontal')],
          ['add treatment', () => book.addTreatment(id, treatmentDraft())],
          ['add comparison', () => book.compareVisits(id, before.id, sample.after.id)],
          ['add complaint', () => book.openComplaint(id, complaintDraft(sample))],
          ['change settings', async () => book.editSettings(0, await book.settings())],
          ['export report', () => book.note({ action: 'export', what: 'report', id: 'x', case: id, facts: {} })],
        ];
        for (const [line, change] of changes) {
          const from = await count();
          await change();
          const lines = (await record.audit.lines({ limit: 5 })).filter(({ n }) => n > from);
          expect(lines.map(({ action, what, actor }) => `${action} ${what} ${actor}`)).toEqual([`${line} Ada`]);
        }
        const from = await count();
        await other.editCase(id, 1, { code: 'A-01', name: null, birthYear: null, note: '' });
        await other.deleteVisit(before.id, 1);
        expect(await count()).toBe(from);
        expect(JSON.stringify(await record.audit.lines({ case: id }))).not.toMatch(/Winterbourne|secret|Prefers|Signed on paper/);
        expect(await record.audit.verify()).toMatchObject({ ok: true, lines: from });
      }));
  });
}
