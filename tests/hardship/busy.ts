/**
 * A process that works on a record until it is killed: `node tests/hardship/busy.ts MODE DIR SEED`.
 * It prints `ready` when it begins, and `done WHAT` for each piece of work that the record has acknowledged.
 */
import { openRecord } from '#lib/record/open.ts';
import { setKeyFile, setPassphrase } from '#lib/record/unlock.ts';
import { type Random, randomFrom } from '#lib/stats/random.ts';
import type { Outcome } from '#shared/outcome.ts';
import { compareRequest } from '#tests/record/sample-jobs.ts';
import { sampleComparison } from '#tests/report/sample-comparison.ts';
import { runJobs } from '#workers/run-jobs.ts';

const [mode, dataDir, seed] = process.argv.slice(2) as [keyof typeof MODES, string, string];
const random = randomFrom(Number(seed));
const say = (line: string): void => void process.stdout.write(`${line}\n`);
const must = <T>(outcome: Outcome<T, string>): T => {
  if (!outcome.ok) throw new Error(outcome.detail);
  return outcome.value;
};

const someBytes = (from: Random, most: number): Uint8Array => {
  const bytes = new Uint8Array(1 + from.integer(most));
  for (let i = 0; i < bytes.length; i++) bytes[i] = from.uint32();
  return bytes;
};

async function* inPieces(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += 20_000) yield bytes.subarray(at, at + 20_000);
}

/** The only case and its complaint, which the test has made. */
async function onlyCase() {
  const book = record.casesAs('hardship');
  const [summary] = await book.listCases();
  const file = (await book.caseFile(summary!.id))!;
  return { book, caseId: summary!.id, file };
}

/** The exchange opens the record by itself, and the old one is sealed by being opened. */
const record = mode === 'exchange' || mode === 'open' ? (null as never) : openRecord({ dataDir });

const MODES = {
  open: async () => {
    openRecord({ dataDir });
    say('done open');
  },
  exchange: async () => {
    const passphrase = 'four words of nobody';
    for (;;) {
      setPassphrase(dataDir, {}, passphrase);
      say('done passphrase');
      setKeyFile(dataDir, { passphrase });
      say('done key-file');
    }
  },
  import: async () => {
    const { book, caseId } = await onlyCase();
    for (let i = 0; ; i++) {
      const { sha256 } = must(await record.addPhotoStream(inPieces(someBytes(random, 120_000)), `${i}.jpg`));
      const photo = { sha256, name: `${i}.jpg`, view: 'frontal' as const, takenAt: null };
      must(await book.addPhotos(caseId, [{ on: `2026-01-${String(1 + (i % 28)).padStart(2, '0')}`, photos: [photo] }]));
      await record.putPreview(sha256, someBytes(random, 5_000));
      say(`done ${sha256}`);
      // Some are taken away again, which must not leave halves either.
      if (i % 4 === 3) await record.removePhoto(must(await record.addPhoto(someBytes(random, 9_000), 'gone.jpg')).sha256);
    }
  },
  compare: async () => {
    const { book, caseId, file } = await onlyCase();
    const [before, after] = file.visits;
    // As the runner does at its start, with what a killed one held.
    await record.reclaim(0);
    for (;;) {
      const { id } = must(await book.compareVisits(caseId, before!.id, after!.id, { again: true }));
      // What a former process left waiting comes first.
      const job = await record.claim('hardship', 'compare');
      if (!job) throw new Error('there is no job to take');
      await record.progress(job.id, 'hardship', 'Measuring', 0.5);
      const files = ['frontal.before.jpg', 'frontal.after-relit.jpg', 'report.html', 'table.csv'].map((name) => ({
        name,
        bytes: someBytes(random, 60_000),
      }));
      if (await record.finishCompare(job.id, 'hardship', sampleComparison(), files)) say(`done ${job.id}`);
      if (job.id !== id && random.integer(3) === 0) await record.removeComparison(id);
    }
  },
  thread: async () => {
    runJobs(record, { dataDir, threadFile: new URL('../workers/fake.thread.ts', import.meta.url), threads: [null] });
    const { file } = await onlyCase();
    const [one, other] = file.visits.map((visit) => visit.photos[0]!.sha256);
    for (;;) {
      const id = await record.enqueue(compareRequest(one!, other!), { again: true });
      for (let state = ''; state !== 'done'; state = (await record.job(id))!.state) await new Promise((resolve) => setTimeout(resolve, 5));
      say(`done ${id}`);
    }
  },
  report: async () => {
    const { book, caseId, file } = await onlyCase();
    const complaint = file.complaints[0]!.id;
    const pdf = (): Uint8Array => Buffer.concat([Buffer.from('%PDF-1.7\n'), someBytes(random, 80_000)]);
    for (;;) {
      const draft = must(await book.putReport(caseId, 'complaint', complaint, pdf()));
      must(await book.putReport(caseId, 'complaint', complaint, pdf()));
      const newest = (await book.caseFile(caseId))!.reports.at(-1)!;
      if (newest.version !== draft.version) throw new Error('a draft was not replaced');
      const signed = must(await book.signReport(newest.id, 'Dr Nobody', pdf()));
      say(`done ${signed.id}:${signed.sha256}`);
    }
  },
} as const;

say('ready');
await MODES[mode]();
