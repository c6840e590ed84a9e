/** What every store of the book of cases must do, whatever lies beneath: each method, each fault. Run by one test file for each store. */
import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import type { CaseBook } from '#lib/record/case-types.ts';
import type { RecordStore } from '#lib/record/types.ts';
import { USUAL_SETTINGS } from '#shared/practice.ts';
import { complaintContract } from './case-complaint.contract.ts';
import {
  caseDraft,
  comparedCase,
  complaintDraft,
  got,
  pdf,
  photoDraft,
  sampleCase,
  shelved,
  treatmentDraft,
  whyNot,
} from './sample-cases.ts';
import { compareRequest } from './sample-jobs.ts';

/** `withBook` opens a fresh record, with the book in the hands of Ada; `other` is the same book opened again, in the hands of Bo. */
export type WithBook = (work: (book: CaseBook, record: RecordStore, other: CaseBook) => Promise<void>) => Promise<void>;

const NOBODY = '0'.repeat(32);

export function caseBookContract(withBook: WithBook): void {
  describe('law: the cover', () => {
    it('comes back as it went in, also in the hands of another', () =>
      withBook(async (book, _, other) => {
        const made = await got(book.addCase(caseDraft()));
        expect(made).toMatchObject({ ...caseDraft(), revision: 1 });
        expect((await other.openCase(made.id))?.patientCase).toEqual(made);
        const edited = await got(other.editCase(made.id, 1, { ...caseDraft('B-02'), name: null, birthYear: null }));
        expect(edited).toMatchObject({ id: made.id, code: 'B-02', name: null, birthYear: null, revision: 2 });
        expect(await book.caseFile(NOBODY)).toBeNull();
        expect(await book.openCase(NOBODY)).toBeNull();
      }));
    it('is listed with its counts, the one last worked at first, and found by a part of its code alone', () =>
      withBook(async (book, record) => {
        const first = await sampleCase(record, book, 'Knoll-7');
        await later();
        const second = await got(book.addCase(caseDraft('Reed.3')));
        expect((await book.listCases()).map(({ code }) => code)).toEqual(['Reed.3', 'Knoll-7']);
        await later();
        await got(book.openComplaint(first.id, complaintDraft(first)));
        expect((await book.listCases())[0]).toMatchObject({
          id: first.id,
          visits: 2,
          photos: 2,
          firstOn: '2026-01-05',
          lastOn: '2026-01-22',
          openComplaints: 1,
        });
        await later();
        await book.openCase(second.id); // looking is no activity
        expect((await book.listCases({ limit: 1 })).map(({ id }) => id)).toEqual([first.id]);
        expect((await book.listCases({ search: 'ree' })).map(({ id }) => id)).toEqual([second.id]);
        expect(await book.listCases({ search: 'Winterbourne' })).toEqual([]);
        expect(await book.listCases({ search: '%' })).toEqual([]);
      }));
    it('keeps consents with their withdrawal', () =>
      withBook(async (book) => {
        const { id } = await got(book.addCase(caseDraft()));
        const given = await got(book.addConsent(id, { kind: 'research', givenOn: '2026-01-02', note: 'By letter.' }));
        expect(given).toMatchObject({ kind: 'research', withdrawnOn: null, note: 'By letter.' });
        const withdrawn = await got(book.withdrawConsent(id, given.id, '2026-03-01'));
        expect(withdrawn).toEqual({ ...given, withdrawnOn: '2026-03-01' });
        expect((await book.caseFile(id))?.consents).toEqual([withdrawn]);
      }));
  });

  describe('refusal: the cover', () => {
    it('a code in use, whatever its case, and one that is no code', () =>
      withBook(async (book) => {
        await got(book.addCase(caseDraft('A-01')));
        const other = await got(book.addCase(caseDraft('A-02')));
        expect(await whyNot(book.addCase(caseDraft('a-01')))).toBe('taken');
        expect(await whyNot(book.editCase(other.id, 1, caseDraft('A-01')))).toBe('taken');
        expect((await got(book.editCase(other.id, 1, caseDraft('a-02')))).code).toBe('a-02');
        expect(() => book.addCase(caseDraft('Maud Winterbourne'))).toThrow();
      }));
    it('the later of two editors, and a case that is gone', () =>
      withBook(async (book, _, other) => {
        const { id } = await got(book.addCase(caseDraft()));
        await got(book.editCase(id, 1, { ...caseDraft(), note: 'first' }));
        expect(await whyNot(other.editCase(id, 1, { ...caseDraft(), note: 'second' }))).toBe('changed-meanwhile');
        expect((await book.caseFile(id))?.patientCase.note).toBe('first');
        expect(await whyNot(book.editCase(NOBODY, 1, caseDraft('C')))).toBe('gone');
        expect(await whyNot(book.deleteCase(NOBODY))).toBe('gone');
        expect(await whyNot(book.addConsent(NOBODY, { kind: 'research', givenOn: '2026-01-01', note: '' }))).toBe('gone');
      }));
    it('a consent withdrawn twice, before it was given, or in another case', () =>
      withBook(async (book) => {
        const [one, two] = [await got(book.addCase(caseDraft('A'))), await got(book.addCase(caseDraft('B')))];
        const consent = await got(book.addConsent(one.id, { kind: 'photographs', givenOn: '2026-01-10', note: '' }));
        expect(await whyNot(book.withdrawConsent(two.id, consent.id, '2026-02-01'))).toBe('gone');
        expect(await whyNot(book.withdrawConsent(one.id, consent.id, '2026-01-09'))).toBe('unfit');
        await got(book.withdrawConsent(one.id, consent.id, '2026-01-10'));
        expect(await whyNot(book.withdrawConsent(one.id, consent.id, '2026-02-01'))).toBe('locked');
      }));
  });

  describe('law: visits and photographs', () => {
    it('photographs make the visits of their days, and the earliest is the baseline', () =>
      withBook(async (book, record) => {
        const { id } = await got(book.addCase(caseDraft()));
        await got(book.addConsent(id, { kind: 'photographs', givenOn: '2026-01-01', note: '' }));
        const [a, b, c] = [await shelved(record, 'a'), await shelved(record, 'b'), await shelved(record, 'c')];
        const put = await got(
          book.addPhotos(id, [
            { on: '2026-02-02', photos: [photoDraft(b), photoDraft(c)] },
            { on: '2026-02-01', photos: [{ ...photoDraft(a, 'oblique-left', 'IMG 1.heic'), takenAt: '2026-02-01T09:30:00' }] },
          ]),
        );
        expect(put).toMatchObject({ added: 3, already: 0 });
        const file = (await book.caseFile(id))!;
        expect(file.visits.map(({ on, baseline }) => [on, baseline])).toEqual([
          ['2026-02-01', true],
          ['2026-02-02', false],
        ]);
        expect(file.visits[0]!.photos).toEqual([
          { sha256: a, name: 'IMG 1.heic', view: 'oblique-left', takenAt: '2026-02-01T09:30:00', chosen: true },
        ]);
        expect(file.visits[1]!.photos.map(({ sha256, chosen }) => [sha256, chosen])).toEqual([
          [b, true],
          [c, false],
        ]);
        // The same again, beside a day that has a visit already: counted, and left where they are.
        const d = await shelved(record, 'd');
        const again = await got(book.addPhotos(id, [{ on: '2026-02-02', photos: [photoDraft(a), photoDraft(d), photoDraft(d)] }]));
        expect(again).toMatchObject({ added: 1, already: 2 });
        expect((await book.caseFile(id))?.visits.map(({ photos }) => photos.length)).toEqual([1, 3]);
        expect(await book.whereIsPhoto(a)).toMatchObject([{ case: id, visit: file.visits[0]!.id, photo: { name: 'IMG 1.heic' } }]);
        expect(await book.whereIsPhoto('0'.repeat(64))).toEqual([]);
      }));
    it('one photograph of a view is chosen, whatever is chosen, turned or taken out', () =>
      withBook(async (book, record) => {
        const { id, before, photos } = await sampleCase(record, book);
        const [second, third] = [await shelved(record, 'second'), await shelved(record, 'third')];
        await got(book.addPhotos(id, [{ on: before.on, photos: [photoDraft(second), photoDraft(third)] }]));
        const chosen = async (view: string) =>
          (await book.caseFile(id))!.visits[0]!.photos.filter((photo) => photo.view === view && photo.chosen).map(({ sha256 }) => sha256);
        expect(await chosen('frontal')).toEqual([photos[0]]);
        await got(book.choosePhoto(before.id, third));
        expect(await chosen('frontal')).toEqual([third]);
        const turned = await got(book.setPhotoView(before.id, third, 'lateral-left'));
        expect(turned.photos.find(({ sha256 }) => sha256 === third)).toMatchObject({ view: 'lateral-left', chosen: true });
        expect(await chosen('frontal')).toEqual([photos[0]]);
        expect(await got(book.setPhotoView(before.id, third, 'lateral-left'))).toEqual(turned);
        await got(book.removePhotoFromVisit(before.id, photos[0]!));
        expect(await chosen('frontal')).toEqual([second]);
        expect(await record.photoBytes(photos[0]!)).toBeNull();
      }));
    it('a visit is added, changed, made the baseline and taken away with its photographs', () =>
      withBook(async (book, record) => {
        const { id, before, after, photos } = await sampleCase(record, book);
        const visit = await got(book.addVisit(id, { on: '2026-03-01', label: 'last review', note: 'Calm.' }));
        expect(visit).toMatchObject({ case: id, baseline: false, photos: [], revision: 1, label: 'last review', note: 'Calm.' });
        expect(await got(book.editVisit(visit.id, 1, { on: '2026-03-02', label: '', note: '' }))).toMatchObject({
          on: '2026-03-02',
          revision: 2,
        });
        expect((await got(book.setBaseline(after.id))).baseline).toBe(true);
        expect((await book.caseFile(id))?.visits.map(({ baseline }) => baseline)).toEqual([false, true, false]);
        expect(await got(book.deleteVisit(before.id, before.revision))).toBe(true);
        expect((await book.caseFile(id))?.visits).toHaveLength(2);
        expect([await record.photoBytes(photos[0]!), await record.photoBytes(photos[1]!)]).toEqual([null, expect.anything()]);
      }));
  });

  describe('refusal: visits and photographs', () => {
    it('photographs without consent, or after it was withdrawn', () =>
      withBook(async (book, record) => {
        const { id } = await got(book.addCase(caseDraft()));
        const sha = await shelved(record, 'a');
        const add = () => book.addPhotos(id, [{ on: '2026-02-01', photos: [photoDraft(sha)] }]);
        expect(await whyNot(add())).toBe('no-consent');
        await got(book.addConsent(id, { kind: 'research', givenOn: '2026-01-01', note: '' }));
        expect(await whyNot(add())).toBe('no-consent');
        const consent = await got(book.addConsent(id, { kind: 'photographs', givenOn: '2026-01-01', note: '' }));
        await got(book.withdrawConsent(id, consent.id, '2026-01-02'));
        expect(await whyNot(add())).toBe('no-consent');
        await got(book.addConsent(id, { kind: 'photographs', givenOn: '2026-01-03', note: '' }));
        expect((await got(add())).added).toBe(1);
      }));
    it('all photographs when one is not on the shelf, and more than are taken at once', () =>
      withBook(async (book, record) => {
        const { id, after } = await sampleCase(record, book);
        const fresh = await shelved(record, 'fresh');
        expect(await whyNot(book.addPhotos(id, [{ on: '2026-05-05', photos: [photoDraft(fresh), photoDraft('f'.repeat(64))] }]))).toBe(
          'gone',
        );
        expect((await book.caseFile(id))?.visits.map(({ on }) => on)).toEqual(['2026-01-05', '2026-01-22']);
        const many = Array.from({ length: 501 }, () => photoDraft(fresh));
        expect(await whyNot(book.addPhotos(id, [{ on: '2026-05-05', photos: many }]))).toBe('unfit');
        expect(await whyNot(book.addPhotos(NOBODY, []))).toBe('gone');
        for (const answer of [
          book.choosePhoto(after.id, fresh),
          book.setPhotoView(after.id, fresh, 'frontal'),
          book.removePhotoFromVisit(NOBODY, fresh),
        ])
          expect(await whyNot(answer)).toBe('gone');
      }));
    it('the later of two editors of a visit, also when photographs came meanwhile', () =>
      withBook(async (book, record, other) => {
        const { id, before } = await sampleCase(record, book);
        const draft = { on: before.on, label: 'x', note: '' };
        await got(other.addPhotos(id, [{ on: before.on, photos: [photoDraft(await shelved(record, 'new'))] }]));
        expect(await whyNot(book.deleteVisit(before.id, before.revision))).toBe('changed-meanwhile');
        expect(await whyNot(book.editVisit(before.id, before.revision, draft))).toBe('changed-meanwhile');
        for (const answer of [
          book.editVisit(NOBODY, 1, draft),
          book.deleteVisit(NOBODY, 1),
          book.setBaseline(NOBODY),
          book.addVisit(NOBODY, draft),
        ])
          expect(await whyNot(answer)).toBe('gone');
      }));
    it('to take away what a comparison rests on, until the comparison is deleted', () =>
      withBook(async (book, record) => {
        const sample = await sampleCase(record, book);
        const comparison = await comparedCase(record, book, sample);
        expect(await whyNot(book.deleteVisit(sample.before.id, sample.before.revision))).toBe('in-use');
        expect(await whyNot(book.removePhotoFromVisit(sample.after.id, sample.photos[1]!))).toBe('in-use');
        await got(book.deleteComparison(comparison));
        expect(await record.photoBytes(sample.photos[0]!)).not.toBeNull(); // the case still has it
        await got(book.deleteVisit(sample.before.id, sample.before.revision));
        expect(await record.photoBytes(sample.photos[0]!)).toBeNull();
      }));
  });

  describe('law: treatments', () => {
    it('are added, changed and taken away', () =>
      withBook(async (book) => {
        const { id } = await got(book.addCase(caseDraft()));
        const made = await got(book.addTreatment(id, treatmentDraft()));
        expect(made).toMatchObject({ ...treatmentDraft(), case: id, revision: 1 });
        const changed = await got(book.editTreatment(made.id, 1, treatmentDraft({ on: '2026-01-02', pass: 2 })));
        expect(changed).toMatchObject({ on: '2026-01-02', pass: 2, revision: 2 });
        await got(book.addTreatment(id, treatmentDraft({ on: '2026-01-01', purpose: 'energy-device', enzyme: null, pass: null })));
        expect((await book.caseFile(id))?.treatments.map(({ on }) => on)).toEqual(['2026-01-01', '2026-01-02']);
        expect(await whyNot(book.editTreatment(made.id, 1, treatmentDraft()))).toBe('changed-meanwhile');
        expect(await whyNot(book.deleteTreatment(made.id, 1))).toBe('changed-meanwhile');
        expect(await got(book.deleteTreatment(made.id, 2))).toBe(true);
        for (const answer of [
          book.deleteTreatment(made.id, 2),
          book.editTreatment(made.id, 2, treatmentDraft()),
          book.addTreatment(NOBODY, treatmentDraft()),
        ])
          expect(await whyNot(answer)).toBe('gone');
      }));
    it('have enzyme only where gel was dissolved', () =>
      withBook(async (book) => {
        const { id } = await got(book.addCase(caseDraft()));
        expect(await whyNot(book.addTreatment(id, treatmentDraft({ purpose: 'gel-placed' })))).toBe('unfit');
        const made = await got(book.addTreatment(id, treatmentDraft()));
        expect(await whyNot(book.editTreatment(made.id, 1, treatmentDraft({ purpose: 'gel-pressed-out' })))).toBe('unfit');
      }));
  });

  describe('law: comparing two visits', () => {
    it('asks for the chosen photographs of the shared views, the last treatment and no file name', () =>
      withBook(async (book, record) => {
        const { id, before, after, photos } = await sampleCase(record, book);
        const [side, other] = [await shelved(record, 'side'), await shelved(record, 'other')];
        await got(book.addPhotos(id, [{ on: before.on, photos: [photoDraft(side, 'lateral-left'), photoDraft(other)] }]));
        for (const [on, zones] of [
          ['2025-11-01', ['chin']],
          ['2026-01-06', ['midface-left']],
          ['2026-01-06', ['midface-right', 'midface-left']],
          ['2026-02-01', ['glabella']],
        ] as const)
          await got(book.addTreatment(id, treatmentDraft({ on, zones: [...zones] })));
        const made = await got(book.compareVisits(id, before.id, after.id, { scale: { kind: 'interpupillary', distanceMm: 62 } }));
        expect(made).toMatchObject({ beforeVisit: before.id, afterVisit: after.id });
        expect((await record.job(made.id))?.request).toEqual({
          kind: 'compare',
          title: 'A-01: 2026-01-05 to 2026-01-22',
          before: [{ sha256: photos[0], name: '2026-01-05 frontal' }],
          after: [{ sha256: photos[1], name: '2026-01-22 frontal' }],
          options: {
            scale: { kind: 'interpupillary', distanceMm: 62 },
            afterOn: '2026-01-22',
            treatedOn: '2026-01-06',
            treatedZones: ['midface-left', 'midface-right'],
          },
        });
        expect(await book.caseComparison(made.id)).toEqual({ ...made, case: id });
        expect(await book.caseComparison(NOBODY)).toBeNull();
      }));
    it('answers an equal request with the same, unless asked again; a try that failed gives way', () =>
      withBook(async (book, record, other) => {
        const sample = await sampleCase(record, book);
        const { id, before, after } = sample;
        const failing = await got(book.compareVisits(id, before.id, after.id));
        await record.claim('r');
        await record.fail(failing.id, 'r', { code: 'lost', message: 'It was lost.', photo: null });
        const made = await comparedCase(record, book, sample);
        expect((await book.caseFile(id))?.comparisons.map((one) => one.id)).toEqual([made]);
        expect((await got(other.compareVisits(id, before.id, after.id))).id).toBe(made);
        const again = await got(book.compareVisits(id, before.id, after.id, { again: true }));
        expect(again.id).not.toBe(made);
        expect((await book.caseFile(id))?.comparisons.map((one) => one.id)).toEqual([made, again.id]);
      }));
  });

  describe('refusal: comparing two visits', () => {
    it('visits that share no view, are the same, stand the wrong way round, or are not of the case', () =>
      withBook(async (book, record) => {
        const one = await sampleCase(record, book, 'A');
        const two = await sampleCase(record, book, 'B');
        expect(await whyNot(book.compareVisits(one.id, one.before.id, one.before.id))).toBe('unfit');
        expect(await whyNot(book.compareVisits(one.id, one.after.id, one.before.id))).toBe('unfit');
        expect(await whyNot(book.compareVisits(one.id, one.before.id, two.after.id))).toBe('gone');
        expect(await whyNot(book.compareVisits(NOBODY, one.before.id, one.after.id))).toBe('gone');
        expect(await whyNot(book.compareVisits(one.id, one.before.id, one.after.id, { setUp: 'a'.repeat(64) }))).toBe('unfit');
        await got(book.setPhotoView(one.after.id, one.photos[1]!, 'lateral-left'));
        expect(await whyNot(book.compareVisits(one.id, one.before.id, one.after.id))).toBe('unfit');
        const { id } = (await book.caseFile(two.id))!.consents[0]!;
        await got(book.withdrawConsent(two.id, id, '2026-02-01'));
        expect(await whyNot(book.compareVisits(two.id, two.before.id, two.after.id))).toBe('no-consent');
      }));
  });

  describe('law: reports', () => {
    it('a draft is replaced, a signed one stays and makes the next version', () =>
      withBook(async (book, record) => {
        const sample = await sampleCase(record, book);
        const about = await comparedCase(record, book, sample);
        const first = await got(book.putReport(sample.id, 'comparison', about, pdf('one')));
        expect(first).toMatchObject({ version: 1, state: 'draft', signed: null, bytes: pdf('one').length });
        expect(first.sha256).toBe(createHash('sha256').update(pdf('one')).digest('hex'));
        const second = await got(book.putReport(sample.id, 'comparison', about, pdf('two')));
        expect(second.version).toBe(1);
        expect([await book.report(first.id), await book.reportPdf(first.id)]).toEqual([null, null]);
        const signed = await got(book.signReport(second.id, 'Osric Vale', pdf('two, signed')));
        expect(signed).toMatchObject({ id: second.id, version: 1, state: 'signed', signed: { by: 'Osric Vale' } });
        expect(await book.reportPdf(second.id)).toEqual(pdf('two, signed'));
        const third = await got(book.putReport(sample.id, 'comparison', about, pdf('three')));
        expect(third).toMatchObject({ version: 2, state: 'draft' });
        expect((await book.caseFile(sample.id))?.reports).toEqual([signed, third]);
        expect(await book.report(second.id)).toEqual(signed);
      }));
  });

  describe('refusal: reports', () => {
    it('a draft that was replaced or signed, and a report of what is not in the case', () =>
      withBook(async (book, record, other) => {
        const sample = await sampleCase(record, book);
        const about = await comparedCase(record, book, sample);
        const draft = await got(book.putReport(sample.id, 'comparison', about, pdf('one')));
        const newer = await got(other.putReport(sample.id, 'comparison', about, pdf('two')));
        expect(await whyNot(book.signReport(draft.id, 'Osric Vale', pdf('signed')))).toBe('changed-meanwhile');
        expect(await whyNot(book.signReport(newer.id, ' ', pdf('signed')))).toBe('unfit');
        await got(book.signReport(newer.id, 'Osric Vale', pdf('signed')));
        expect(await whyNot(book.signReport(newer.id, 'Osric Vale', pdf('signed again')))).toBe('locked');
        expect(await whyNot(book.putReport(sample.id, 'complaint', about, pdf('x')))).toBe('gone');
        expect(await whyNot(book.putReport(NOBODY, 'comparison', about, pdf('x')))).toBe('gone');
        await expect(book.putReport(sample.id, 'comparison', about, new TextEncoder().encode('<html>'))).rejects.toThrow(RangeError);
        expect(await whyNot(book.deleteComparison(about))).toBe('in-use');
        expect(await whyNot(book.deleteComparison(NOBODY))).toBe('gone');
      }));
  });

  describe('law: erasing a case', () => {
    it('takes its photographs, comparisons, files, jobs and reports, and leaves what others use', () =>
      withBook(async (book, record) => {
        const sample = await sampleCase(record, book, 'A');
        const other = await sampleCase(record, book, 'B');
        const comparison = await comparedCase(record, book, sample);
        const report = await got(book.putReport(sample.id, 'comparison', comparison, pdf('one')));
        const waiting = await got(book.compareVisits(sample.id, sample.before.id, sample.after.id, { again: true }));
        // One photograph is in another case too, one in a comparison of the bench, one has a check that is under way.
        const [shared, onBench, checking] = [
          await shelved(record, 'shared'),
          await shelved(record, 'bench'),
          await shelved(record, 'checking'),
        ];
        await got(book.addPhotos(sample.id, [{ on: '2026-03-01', photos: [shared, onBench, checking].map((sha) => photoDraft(sha)) }]));
        await got(book.addPhotos(other.id, [{ on: '2026-03-01', photos: [photoDraft(shared)] }]));
        const bench = await record.enqueue(compareRequest(onBench, other.photos[0]!));
        await record.enqueue({ kind: 'check', photo: { sha256: checking, name: 'x.jpg' } });
        await got(book.openComplaint(sample.id, complaintDraft(sample)));

        expect(await got(book.deleteCase(sample.id))).toEqual({ photos: 3, comparisons: 1, reports: 1 });
        expect(await book.caseFile(sample.id)).toBeNull();
        for (const sha of [...sample.photos, checking])
          expect([await record.photo(sha), await record.photoBytes(sha)]).toEqual([null, null]);
        for (const sha of [shared, onBench]) expect(await record.photoBytes(sha)).not.toBeNull();
        expect([await record.comparison(comparison), await record.plateFile(comparison, 'report.html')]).toEqual([null, null]);
        expect([await record.job(comparison), await record.job(waiting.id), await book.report(report.id)]).toEqual([null, null, null]);
        expect((await record.job(bench))?.state).toBe('waiting');
        expect((await book.caseFile(other.id))?.visits).toHaveLength(3);
        expect((await record.audit.lines({ limit: 1 }))[0]).toMatchObject({
          actor: 'Ada',
          action: 'delete',
          what: 'case',
          id: sample.id,
          facts: { photos: 3, comparisons: 1, reports: 1, photosKept: 2 },
        });
      }));
    it('keeps the bench from taking a photograph that a case has', () =>
      withBook(async (book, record) => {
        const { photos } = await sampleCase(record, book);
        expect(await record.removePhoto(photos[0]!)).toBe(false);
      }));
  });

  describe('law: settings', () => {
    it('are the usual until the practice says otherwise, and tell the later of two editors', () =>
      withBook(async (book, _, other) => {
        expect(await book.settings()).toEqual(USUAL_SETTINGS);
        const { revision: _usual, ...usual } = USUAL_SETTINGS;
        const changed = await got(book.editSettings(0, { ...usual, practiceName: 'Harbour Rooms' }));
        expect(changed).toEqual({ ...USUAL_SETTINGS, practiceName: 'Harbour Rooms', revision: 1 });
        expect(await other.settings()).toEqual(changed);
        expect(await whyNot(other.editSettings(0, usual))).toBe('changed-meanwhile');
      }));
  });

  complaintContract(withBook);
}

/** The record's clock has milliseconds, and the order of activity needs one to pass. */
const later = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 5));
