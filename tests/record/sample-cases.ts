/** A case with visits, photographs and a finished comparison, for the tests of the book of cases. */
import type { CaseBook, CaseFault } from '#lib/record/case-types.ts';
import type { RecordStore } from '#lib/record/types.ts';
import type { CaseDraft, ComplaintDraft, ExaminerPart, PatientPart, TreatmentDraft, Visit } from '#shared/case.ts';
import type { View } from '#shared/comparison.ts';
import type { Outcome } from '#shared/outcome.ts';
import { sampleComparison } from '#tests/report/sample-comparison.ts';
import { bytesOf } from './sample-jobs.ts';

/** The value of an answer that must have one. */
export async function got<T>(answer: Promise<Outcome<T, CaseFault>>): Promise<T> {
  const outcome = await answer;
  if (!outcome.ok) throw new Error(`${outcome.why}: ${outcome.detail}`);
  return outcome.value;
}

/** Why an answer was refused; throws when it was not, or when the sentence is none. */
export async function whyNot(answer: Promise<Outcome<unknown, CaseFault>>): Promise<CaseFault> {
  const outcome = await answer;
  if (outcome.ok) throw new Error('this was to be refused');
  if (!/^[A-Z"].*\.$/s.test(outcome.detail)) throw new Error(`not a whole sentence: ${outcome.detail}`);
  return outcome.why;
}

export const caseDraft = (code = 'A-01'): CaseDraft => ({ code, name: 'Maud Winterbourne', birthYear: 1971, note: 'Prefers mornings.' });

export const treatmentDraft = (part: Partial<TreatmentDraft> = {}): TreatmentDraft => ({
  on: '2026-01-06',
  zones: ['midface-left'],
  purpose: 'gel-dissolved',
  productClass: 'ha-gel-weakly-water-drawing',
  volumeMl: null,
  enzyme: { vialUnits: 1500, dissolvedInMl: 1, diluent: 'saline', amount: { kind: 'ml', ml: 0.1 }, mixedWithMl: 0 },
  pass: 1,
  note: 'Bruised a little.',
  ...part,
});

export const patientPart = (part: Partial<PatientPart> = {}): PatientPart => ({
  words: 'My cheek looks hollow and I look tired.',
  severity: 7,
  howOften: 'most-days',
  zones: ['midface-left', 'infraorbital-left'],
  marks: [{ x: 0.4, y: 0.5 }],
  callsMe: null,
  ...part,
});

export const examinerPart = (part: Partial<ExaminerPart> = {}): ExaminerPart => ({
  examiner: 'Osric Vale',
  grades: { 'midface-left': 'slightly-less', 'infraorbital-left': 'cannot-say' },
  note: 'Seen in daylight.',
  ...part,
});

export const pdf = (text: string): Uint8Array => bytesOf(`%PDF-1.7\n${text}`);

/** Puts bytes on the shelf; returns their address. */
export async function shelved(record: RecordStore, text: string): Promise<string> {
  const added = await record.addPhoto(bytesOf(text), `${text}.jpg`);
  if (!added.ok) throw new Error(added.detail);
  return added.value.sha256;
}

export const photoDraft = (sha256: string, view: View = 'frontal', name = 'Winterbourne 0001.jpg') => ({
  sha256,
  name,
  view,
  takenAt: null,
});

export type SampleCase = { id: string; before: Visit; after: Visit; photos: string[] };

/** Two visits with a frontal photograph each, under consent. `tag` keeps the photographs of two cases apart. */
export async function sampleCase(record: RecordStore, book: CaseBook, code = 'A-01', tag = code): Promise<SampleCase> {
  const { id } = await got(book.addCase(caseDraft(code)));
  await got(book.addConsent(id, { kind: 'photographs', givenOn: '2026-01-01', note: 'Signed on paper.' }));
  const photos = [await shelved(record, `${tag} before`), await shelved(record, `${tag} after`)];
  const { visits } = await got(
    book.addPhotos(id, [
      { on: '2026-01-05', photos: [photoDraft(photos[0]!)] },
      { on: '2026-01-22', photos: [photoDraft(photos[1]!)] },
    ]),
  );
  return { id, before: visits[0]!, after: visits[1]!, photos };
}

/** Compares the two visits and finishes the job as a runner would. Returns the comparison's id. */
export async function comparedCase(record: RecordStore, book: CaseBook, { id, before, after }: SampleCase): Promise<string> {
  const comparison = await got(book.compareVisits(id, before.id, after.id));
  await record.claim('r', 'compare');
  await record.finishCompare(comparison.id, 'r', sampleComparison(), [{ name: 'report.html', bytes: bytesOf('<p>') }]);
  return comparison.id;
}

export const complaintDraft = ({ before, after }: SampleCase): ComplaintDraft => ({
  on: '2026-01-23',
  beforeVisit: before.id,
  afterVisit: after.id,
});
