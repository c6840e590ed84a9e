/** The book of cases on SQLite: the contract, and what is its own: what lies on the disk, two processes, what erasing leaves. */
import { execFile } from 'node:child_process';
import { readdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { describe, expect, it } from 'vitest';
import { openRecord } from '#lib/record/open.ts';
import type { RecordStore } from '#lib/record/types.ts';
import { caseBookContract } from './case-book.contract.ts';
import {
  caseDraft,
  comparedCase,
  complaintDraft,
  examinerPart,
  got,
  patientPart,
  pdf,
  sampleCase,
  treatmentDraft,
} from './sample-cases.ts';
import { withDir } from './sample-jobs.ts';

caseBookContract((work) =>
  withDir(async (dataDir) => {
    const [one, two] = [openRecord({ dataDir }), openRecord({ dataDir })];
    try {
      await work(one.casesAs('Ada'), one, two.casesAs('Bo'));
      expect(await two.audit.verify()).toMatchObject({ ok: true, outside: 'agrees' });
    } finally {
      await one.close();
      await two.close();
    }
  }),
);

const withRecord = (work: (record: RecordStore, dataDir: string) => Promise<void>) =>
  withDir(async (dataDir) => {
    const record = openRecord({ dataDir });
    try {
      await work(record, dataDir);
    } finally {
      await record.close();
    }
  });

/** Which of `words` stand in any file below `dir`, as UTF-8. */
async function wordsIn(dir: string, words: readonly string[]): Promise<string[]> {
  const found = new Set<string>();
  for (const entry of await readdir(dir, { recursive: true, withFileTypes: true })) {
    if (!entry.isFile()) continue;
    const bytes = await readFile(join(entry.parentPath, entry.name));
    for (const word of words) if (bytes.includes(word)) found.add(word);
  }
  return [...found];
}

/** A case with every kind of free text in it, up to a signed report. */
async function wholeCase(record: RecordStore) {
  const book = record.casesAs('Ada');
  const sample = await sampleCase(record, book);
  await got(book.addTreatment(sample.id, treatmentDraft()));
  await got(
    book.editVisit(sample.before.id, sample.before.revision, { on: sample.before.on, label: 'Before Easter', note: 'Had a cold.' }),
  );
  const comparison = await comparedCase(record, book, sample);
  const { id } = await got(book.openComplaint(sample.id, complaintDraft(sample)));
  await got(book.hear(id, 1, patientPart()));
  await got(book.rate(id, 2, examinerPart()));
  await got(book.reveal(id, 3, comparison));
  await got(book.conclude(id, 4, { steps: ['discuss'], reviewOn: null, note: 'Met with her sister.' }));
  await got(book.addToComplaint(id, 'She called on Friday.'));
  const draft = await got(book.putReport(sample.id, 'complaint', id, pdf('In the report.')));
  await got(book.signReport(draft.id, 'Signed Osric', pdf('In the signed report.')));
  return { book, sample };
}
const FREE_TEXT = [
  'Winterbourne',
  'birthYear',
  'Prefers mornings',
  'Signed on paper',
  'Before Easter',
  'Had a cold',
  'looks hollow',
  'Osric Vale',
  'daylight',
  'her sister',
  'on Friday',
  'In the report',
  'In the signed report',
  'Signed Osric',
  'Bruised',
  'A-01 before',
];

describe('law: on the disk', () => {
  it('no name, no word of the patient and no report lies open', () =>
    withRecord(async (record, dataDir) => {
      await wholeCase(record);
      expect(await wordsIn(dataDir, FREE_TEXT)).toEqual([]);
      // The search does see what lies open: codes do.
      expect(await wordsIn(dataDir, ['A-01'])).toEqual(['A-01']);
    }));
  it('nothing of an erased case is left but its lines of the audit', () =>
    withRecord(async (record, dataDir) => {
      const { book, sample } = await wholeCase(record);
      const traces = async () => wordsIn(dataDir, ['A-01', sample.before.id, ...sample.photos]);
      expect((await traces()).length).toBeGreaterThan(2);
      const files = async () =>
        (await readdir(dataDir, { recursive: true, withFileTypes: true })).filter(
          (one) => one.isFile() && /photos|reports|comparisons/.test(one.parentPath),
        );
      expect((await files()).length).toBeGreaterThan(2);
      await got(book.deleteCase(sample.id));
      expect(await files()).toEqual([]);
      // The audit keeps ids and addresses, and no code: overwritten in the tables and in their log.
      expect(await wordsIn(dataDir, ['A-01'])).toEqual([]);
    }));
  it('a report whose file was changed is not handed out', () =>
    withRecord(async (record, dataDir) => {
      const { book, sample } = await wholeCase(record);
      const { id, sha256 } = (await book.caseFile(sample.id))!.reports[0]!;
      const path = join(dataDir, 'reports', sha256.slice(0, 2), sha256);
      const bytes = await readFile(path);
      bytes[bytes.length >> 1]! ^= 1;
      await writeFile(path, bytes);
      await expect(book.reportPdf(id)).rejects.toMatchObject({ code: 'damaged' });
    }));
});

describe('law: several processes at once', () => {
  it('add cases and lines without losing one or taking a number twice', () =>
    withRecord(async (record, dataDir) => {
      const script = `
        import { openRecord } from '#lib/record/open.ts';
        const record = openRecord({ dataDir: process.argv[1] });
        const book = record.casesAs('process ' + process.argv[2]);
        let taken = 0;
        for (let i = 0; i < 30; i++) {
          const made = await book.addCase({ code: 'C-' + i, name: null, birthYear: null, note: '' });
          if (!made.ok && made.why === 'taken') taken++;
          await book.note({ action: 'view', what: 'page', id: String(i), case: null, facts: { taken } });
        }
        await record.close();
        console.log(taken);`;
      const run = (n: number) => promisify(execFile)(process.execPath, ['--input-type=module', '--eval', script, dataDir, String(n)]);
      const taken = (await Promise.all([run(1), run(2)])).map(({ stdout }) => Number(stdout));
      expect(taken[0]! + taken[1]!).toBe(30);
      expect(await record.casesAs('Ada').listCases()).toHaveLength(30);
      expect(await record.audit.verify()).toMatchObject({ ok: true, lines: 90, outside: 'agrees' });
    }));
  it('tell the later of two editors, whoever of the two it is', () =>
    withRecord(async (record, dataDir) => {
      const { id } = await got(record.casesAs('Ada').addCase(caseDraft()));
      const script = `
        import { openRecord } from '#lib/record/open.ts';
        const record = openRecord({ dataDir: process.argv[1] });
        const why = [];
        for (let revision = 1; revision <= 20; revision++) {
          const done = await record.casesAs('editor').editCase(process.argv[2], revision, { code: 'A-01', name: null, birthYear: null, note: process.argv[3] });
          why.push(done.ok ? 'done' : done.why);
          // Goes on only when the step is taken, by whomever.
          while ((await record.casesAs('editor').caseFile(process.argv[2])).patientCase.revision <= revision);
        }
        await record.close();
        console.log(JSON.stringify(why));`;
      const run = (note: string) => promisify(execFile)(process.execPath, ['--input-type=module', '--eval', script, dataDir, id, note]);
      const [one, two] = (await Promise.all([run('one'), run('two')])).map(({ stdout }) => JSON.parse(stdout) as string[]);
      const wrong = one!.flatMap((word, n) =>
        [word, two![n]].toSorted().join() === 'changed-meanwhile,done' ? [] : [`${n + 1}: ${word}, ${two![n]}`],
      );
      expect(wrong).toEqual([]);
    }));
});

describe('refusal', () => {
  it('a book in nobody’s hands', () =>
    withRecord(async (record) => {
      expect(() => record.casesAs(' ')).toThrow(RangeError);
    }));
});
