/** The report of a complaint: its order, its times, the patient's words untouched, and signs of many scripts. */
import { describe, expect, it } from 'vitest';
import { complaintAnswer } from '#lib/report/complaint-answer.ts';
import { DISTRESS_NOTE } from '#lib/report/complaint-words.ts';
import { writePdf } from '#lib/report/pdf/write-pdf.ts';
import { type ComplaintContent, complaintReport } from '#lib/report/print/complaint-report.ts';
import type { Complaint } from '#shared/case.ts';
import { USUAL_SETTINGS } from '#shared/practice.ts';
import { bodyWords, contentStreams, hasReaders, pageWords, syntaxCheck, untagged } from '#tests/report/pdf/pdf-reader.ts';
import { sampleComparison } from '#tests/report/sample-comparison.ts';
import { jpeg, SIGNED, sampleComplaint, sampleStamp, sampleSubject, sampleView } from './sample-report.ts';

async function content(changes: Partial<Complaint> = {}): Promise<ComplaintContent> {
  const complaint = sampleComplaint(changes);
  const subject = sampleSubject();
  const comparison = sampleComparison();
  return {
    subject,
    complaint,
    comparison,
    answer: complaintAnswer({
      complaint,
      comparison,
      beforeOn: subject.before.on,
      afterOn: subject.after.on,
      treatments: subject.treatments,
      facts: USUAL_SETTINGS.facts,
    }),
    views: [await sampleView('frontal')],
    marked: await jpeg(3),
    callsMe: '2026-09-01 (baseline), from the front',
  };
}
const plain = (text: string): string => text.replace(/[\s\u00a0]+/g, ' ').trim();

describe.skipIf(!hasReaders)('law (skipped without poppler-utils and qpdf)', () => {
  it('tells the stages in the order in which they were recorded, with their times, before the measured answer', async () => {
    const { bytes } = await writePdf(complaintReport(await content(), sampleStamp({ signed: SIGNED })));
    const words = pageWords(bytes).join(' ');
    const stages = [
      '2026-11-24 09:00:00 UTC',
      '2026-11-24 09:10:11 UTC',
      '2026-11-24 09:20:30 UTC',
      '2026-11-24 09:21:00 UTC',
      '2026-11-24 09:40:00 UTC',
    ];
    const order = [
      'The patient, in their own words',
      'In which order',
      ...stages,
      'made blind to the measurement',
      'Patient, examiner and measurement',
      'Statement',
      'Next steps',
      'Added later',
    ];
    const places = order.map((text) => words.indexOf(text));
    expect(places.filter((place) => place < 0)).toEqual([]);
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(words).toContain('The examiner\u2019s rating stood 30 seconds before the measurement was first shown.');
    expect(untagged(contentStreams(bytes).join('\n'))).toEqual([]);
    expect(syntaxCheck(bytes).status).toBe(0);
  });

  it('says the statement, each zone, the note on distress, what was concluded and added', async () => {
    const given = await content();
    const report = complaintReport(given, sampleStamp());
    const words = bodyWords((await writePdf(report)).bytes, report);
    const expected = [
      ...given.answer.statement.map(({ text }) => text),
      ...given.answer.rows.map(({ sentence }) => sentence),
      DISTRESS_NOTE,
      'Called; will come.',
      'Next review on 2026-12-08',
      'Calm talk.',
    ];
    expect(expected.map(plain).filter((text) => !words.includes(text))).toEqual([]);
  });

  it('quotes the patient in Latin, Greek and Cyrillic, and shows what it can not set instead of losing it', async () => {
    const { bytes, replaced } = await writePdf(complaintReport(await content(), sampleStamp()));
    const words = pageWords(bytes).join(' ');
    expect(words).toContain('\u201cI look different. My cheeks are flat.');
    expect(words).toContain('My sister \u0396\u03c9\u03ae and \u041d\u0430\u0442\u0430\u043b\u044c\u044f say so too. \ufffd\ufffd\u201d');
    expect(replaced).toBe(true);
    expect(words).toContain('stands for a sign that the typeface of this report cannot show');
  });

  it('runs the longest words of a patient over pages without losing any', async () => {
    const given = sampleComplaint();
    const long = Array.from({ length: 1400 }, (_, k) => `w${k}`).join(' ');
    const { bytes } = await writePdf(
      complaintReport(await content({ patient: { ...given.patient!, part: { ...given.patient!.part, words: long } } }), sampleStamp()),
    );
    const words = new Set(
      pageWords(bytes)
        .join(' ')
        .replace(/[\u201c\u201d]/g, '')
        .split(' '),
    );
    expect(long.split(' ').filter((word) => !words.has(word))).toEqual([]);
  });

  it('calls a rating blind only where no result had been opened before it', async () => {
    const given = await content();
    const seen = { ...given, answer: { ...given.answer, resultsSeenBefore: 2 } };
    const words = pageWords((await writePdf(complaintReport(seen, sampleStamp()))).bytes).join(' ');
    expect(words).not.toContain('made blind');
    expect(words).toContain('recorded before the measurement was shown');
    expect(words).toContain('a result of them had been opened 2 times before, so the rating may not have been blind to it');
  });

  it('says that it is not concluded while it is not', async () => {
    const { bytes } = await writePdf(complaintReport(await content({ conclusion: null, stage: 'revealed' }), sampleStamp()));
    expect(pageWords(bytes).join(' ')).toContain('Not concluded yet.');
  });
});

describe('refusal', () => {
  it('is not written before the measurement was revealed', async () => {
    await expect(content({ revealed: null, conclusion: null, stage: 'rated' })).rejects.toThrow('revealed');
  });
});
