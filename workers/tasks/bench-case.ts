/**
 * A big case, for `bench.ts`: how long one of 40 visits and 200 photographs takes to open, in the record and as a page, and how fast a
 * hundred photographs of the given file's size are taken in and judged by one thread and by two. Prints its figures as JSON.
 */
import { fork } from 'node:child_process';
import { once } from 'node:events';

import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { get } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import type { CaseBook, CaseFault } from '#lib/record/case-types.ts';
import { openRecord } from '#lib/record/open.ts';
import type { RecordStore } from '#lib/record/types.ts';
import { median } from '#lib/stats/quantile.ts';
import { VIEWS } from '#shared/comparison.ts';
import type { Outcome } from '#shared/outcome.ts';
import { runJobs } from '#workers/run-jobs.ts';
import { ROOT } from './step.ts';

export type CaseFigures = Readonly<{
  visits: number;
  photos: number;
  /** From the record, with its line of the audit: the first time in a process, and the median of the rest. */
  openFirstMs: number;
  openMs: number;
  /** As a page, from asking to the last byte; null when the page is not built. */
  pageFirstMs: number | null;
  pageMs: number | null;
  imported: number;
  importedBytes: number;
  /** From the first byte taken in to the last photograph in its visit. */
  importMs: number;
  /** The same for a fifth of them: judged by one thread, and by two. */
  oneThreadMs: number;
  twoThreadsMs: number;
}>;

const VISITS = 40;
const REPEATS = 15;
const IMPORTED = 100;

const photo = new Uint8Array(readFileSync(process.argv[2]!));
const dataDir = mkdtempSync(join(tmpdir(), 'ebbline-bench-'));
try {
  const record = openRecord({ dataDir });
  const book = record.casesAs('bench');
  const id = await bigCase(record, book);
  const { length: photos } = (await book.caseFile(id))!.visits.flatMap((visit) => visit.photos);
  await record.close();

  const again = openRecord({ dataDir });
  const opening = await timesOf(async () => void (await again.casesAs('bench').openCase(id)));
  const page = existsSync(join(ROOT, '.next/BUILD_ID')) ? await pageTimes(id) : null;

  await importing(again, 4, 0, 2); // the engine's start belongs to the program's, not to the import
  const oneThreadMs = await importing(again, IMPORTED / 5, 1000, 1);
  const twoThreadsMs = await importing(again, IMPORTED / 5, 2000, 2);
  const importMs = await importing(again, IMPORTED, 3000, 2);
  await again.close();
  console.log(
    JSON.stringify({
      visits: VISITS,
      photos,
      openFirstMs: opening.first,
      openMs: opening.rest,
      pageFirstMs: page?.first ?? null,
      pageMs: page?.rest ?? null,
      imported: IMPORTED,
      importedBytes: photo.length,
      importMs,
      oneThreadMs,
      twoThreadsMs,
    } satisfies CaseFigures),
  );
} finally {
  rmSync(dataDir, { recursive: true, force: true });
}
// The landmark engine keeps the process alive.
process.exit(0);

async function must<T>(answer: Promise<Outcome<T, CaseFault>>): Promise<T> {
  const outcome = await answer;
  if (!outcome.ok) throw new Error(outcome.detail);
  return outcome.value;
}

async function newCase(book: CaseBook, code: string): Promise<string> {
  const { id } = await must(book.addCase({ code, name: 'A Name', birthYear: 1970, note: 'A note of some length.' }));
  await must(book.addConsent(id, { kind: 'photographs', givenOn: '2024-01-01', note: '' }));
  return id;
}

function dayOf(n: number): string {
  return new Date(Date.UTC(2024, 0, 1 + 4 * n)).toISOString().slice(0, 10);
}

/** Photographs of a few bytes: the case's page shows their small pictures later, and by itself only names and views. */
async function bigCase(record: RecordStore, book: CaseBook): Promise<string> {
  const id = await newCase(book, 'BIG-1');
  for (let visit = 0; visit < VISITS; visit++) {
    const photos = [];
    for (const view of VIEWS) {
      const added = await record.addPhoto(new TextEncoder().encode(`${visit} ${view}`), `${view}.jpg`);
      if (!added.ok) throw new Error(added.detail);
      photos.push({ sha256: added.value.sha256, name: `${view} of visit ${visit}.jpg`, view, takenAt: `${dayOf(visit)}T10:00:00` });
    }
    await must(book.addPhotos(id, [{ on: dayOf(visit), photos }]));
    if (visit % 4 === 0)
      await must(
        book.addTreatment(id, {
          on: dayOf(visit),
          zones: ['midface-left', 'midface-right'],
          purpose: 'gel-dissolved',
          productClass: 'unknown',
          volumeMl: null,
          enzyme: { vialUnits: 1500, dissolvedInMl: 1, diluent: 'saline', amount: { kind: 'ml', ml: 0.1 }, mixedWithMl: 0 },
          pass: 1,
          note: 'A note of some length.',
        }),
      );
  }
  const { visits } = (await book.caseFile(id))!;
  for (const visit of visits.slice(1)) await must(book.compareVisits(id, visits[0]!.id, visit.id));
  for (const { id: job } of (await book.caseFile(id))!.comparisons) await record.cancel(job); // nothing is to be measured here
  return id;
}

/** ms */
async function timesOf(work: () => Promise<void>): Promise<{ first: number; rest: number }> {
  const times: number[] = [];
  for (let i = 0; i <= REPEATS; i++) {
    const from = performance.now();
    await work();
    times.push(performance.now() - from);
  }
  return { first: times[0]!, rest: median(times.slice(1)) };
}

async function pageTimes(id: string): Promise<{ first: number; rest: number }> {
  const web = fork(join(ROOT, 'workers/web.ts'), ['--port', '0'], {
    cwd: ROOT,
    env: { ...process.env, EBBLINE_HOME: dataDir },
    execArgv: [],
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
  });
  const [message] = (await once(web, 'message')) as [{ listening?: number; failed?: string }];
  if (message.listening === undefined) throw new Error(`The page's server did not start: ${message.failed}`);
  try {
    return await timesOf(() => got(message.listening!, `/cases/${id}`));
  } finally {
    const exit = once(web, 'exit');
    web.kill('SIGTERM');
    await exit;
  }
}

/** Takes in `count` photographs that differ in a comment at their end alone, has them judged, and puts them into visits. */
async function importing(record: RecordStore, count: number, seed: number, threads: 1 | 2): Promise<number> {
  const book = record.casesAs('bench');
  const id = await newCase(book, `IMPORT-${seed}`);
  const runner = runJobs(record, { dataDir, threads: threads === 1 ? [null] : [null, 'check'] });
  await sleep(3_000); // engines start
  const from = performance.now();
  const jobs: { job: string; sha256: string }[] = [];
  for (let n = 0; n < count; n++) {
    const added = await record.addPhoto(numbered(photo, seed + n), `IMG_${n}.jpg`);
    if (!added.ok) throw new Error(added.detail);
    const { sha256 } = added.value;
    jobs.push({ job: await record.enqueue({ kind: 'check', photo: { sha256, name: `IMG_${n}.jpg` } }), sha256 });
  }
  for (const { job } of jobs) while ((await record.job(job))?.state !== 'done') await failed(record, job);
  const days = jobs.map(({ sha256 }, n) => ({
    on: dayOf(n >> 2),
    photos: [{ sha256, name: `IMG_${n}.jpg`, view: 'frontal' as const, takenAt: null }],
  }));
  await must(book.addPhotos(id, days));
  const ms = performance.now() - from;
  await runner.stop();
  return ms;
}

async function failed(record: RecordStore, id: string): Promise<void> {
  const job = await record.job(id);
  if (job?.state === 'failed') throw new Error(job.fault?.message ?? 'a check failed');
  await sleep(20);
}

/** Bytes after a JPEG's end are no part of the picture, but make it another file. */
function numbered(bytes: Uint8Array, n: number): Uint8Array {
  const more = new TextEncoder().encode(`#${n}`);
  const all = new Uint8Array(bytes.length + more.length);
  all.set(bytes);
  all.set(more, bytes.length);
  return all;
}

/** Reads a page of our own server to its end. */
async function got(port: number, path: string): Promise<void> {
  await new Promise<void>((resolve, reject) => {
    get({ host: '127.0.0.1', port, path, agent: false }, (response) => {
      if (response.statusCode !== 200) reject(new Error(`${path} answered ${response.statusCode}`));
      response.resume().on('end', resolve);
    }).on('error', reject);
  });
}
