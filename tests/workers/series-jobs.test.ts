/** Series of the record, from asking to tables, with a stand-in for the measurement: dropped and from a folder, stopped, gone on with, lost, exported, removed. */
import { existsSync, readFileSync, statSync } from 'node:fs';
import { mkdir, rename, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { backupRecord } from '#lib/record/backup.ts';
import { openRecord } from '#lib/record/open.ts';
import { restoreRecord } from '#lib/record/restore.ts';
import type { StoredSeries } from '#lib/record/series-types.ts';
import type { RecordStore } from '#lib/record/types.ts';
import { unlockRecord } from '#lib/record/unlock.ts';
import { FINDINGS } from '#shared/comparison.ts';
import type { SeriesAsked } from '#shared/series-job.ts';
import { ZONE_IDS } from '#shared/zones.ts';
import { bytesOf, withDir } from '#tests/record/sample-jobs.ts';
import { inProcess, runSeriesJobs } from '#workers/run-series-jobs.ts';
import { seriesWork } from '#workers/series/series-work.ts';
import { layStudy, until } from './fake-study.ts';

const RUNNER = 'runner-1';
const threadFile = new URL('./fake-series.thread.ts', import.meta.url);
const options: SeriesAsked['options'] = { workers: 2, scale: null, setUp: null };
const SUBJECTS = { good: '', refused: 'refuse', faceless: 'no-face' };

const manifestText = (subjects: Readonly<Record<string, unknown>>): string =>
  [
    'subject,visit,date,file,role',
    ...Object.keys(subjects).flatMap((one) => [
      `${one},v1,2026-09-01,${one}/before.jpg,baseline`,
      `${one},v2,2026-11-20,${one}/after.jpg,follow-up`,
    ]),
    'nobody,v1,2026-09-01,nobody/none.jpg,baseline',
    '',
  ].join('\n');

type Place = Readonly<{ dir: string; dataDir: string; record: RecordStore }>;

const withRecord = (work: (place: Place) => Promise<void>): Promise<void> =>
  withDir(async (dir) => {
    const dataDir = join(dir, 'record');
    const record = openRecord({ dataDir });
    try {
      await work({ dir, dataDir, record });
    } finally {
      await record.close();
    }
  });

async function fromFolder({ dir, record }: Place, subjects: Readonly<Record<string, string>>): Promise<string> {
  await layStudy(join(dir, 'study'), subjects);
  const manifest = join(dir, 'study', 'manifest.csv');
  await writeFile(manifest, manifestText(subjects));
  return record.addSeries({ title: 'Autumn', source: { kind: 'folder', manifest }, photos: [], options });
}

const tend = ({ record, dataDir }: Place) =>
  runSeriesJobs(record, {
    runner: RUNNER,
    work: (series, ending) => seriesWork({ record, runner: RUNNER, dataDir, key: undefined, ending, threadFile }, series),
  });

/** Tends until the series rests. */
async function rested(place: Place, id: string): Promise<StoredSeries> {
  await place.record.heartbeat(RUNNER);
  const jobs = tend(place);
  await until(async () => !['waiting', 'running'].includes((await place.record.series(id))!.state));
  await jobs.stop();
  return (await place.record.series(id))!;
}

describe('law: a series of the record', () => {
  it('from a folder: every pair is answered, tables and study lie in a folder of the user alone, and pairs are found by what they say', () =>
    withRecord(async (place) => {
      const { record } = place;
      const id = await fromFolder(place, SUBJECTS);
      const ended = await rested(place, id);
      expect(ended).toMatchObject({ state: 'done', fault: null, title: 'Autumn' });
      expect(ended.progress?.counts).toEqual({ waiting: 0, running: 0, measured: 1, notComparable: 1, failed: 1 });
      const files = (await record.seriesFiles(id)).map(({ set, name }) => `${set}/${name}`);
      expect(files).toContain('tables/results.csv');
      expect(files).toContain('tables/results.parquet');
      expect(files).toContain('study/study.pdf');
      expect(statSync(record.seriesFolder(id)).mode & 0o777).toBe(0o700);

      const view = record.seriesView(id)!;
      expect(view.head?.leftOut).toHaveLength(1);
      expect(view.list({ state: 'failed' }, 0, 10)).toMatchObject({ total: 1, pairs: [{ pair: { subject: 'faceless' } }] });
      expect(view.list({ subject: 'goo' }, 0, 10)).toMatchObject({ total: 1, pairs: [{ state: 'measured' }] });
      expect(view.list({ subject: 'oo' }, 0, 10).total).toBe(0);
      const { zone, finding } = view.list({ subject: 'good' }, 0, 1).pairs[0]!.comparison!.zones[0]!;
      expect(view.list({ zone, finding }, 0, 10)).toMatchObject({ total: 1, pairs: [{ pair: { subject: 'good' } }] });
      const other = finding === 'beyond-error' ? 'within-error' : 'beyond-error';
      expect(view.list({ zone, finding: other }, 0, 10).total).toBe(0);
      const { zones } = view.list({ subject: 'good' }, 0, 1).pairs[0]!.comparison!;
      for (const one of ZONE_IDS)
        for (const two of FINDINGS)
          expect(view.list({ subject: 'good', zone: one, finding: two }, 0, 1).total, `${one} ${two}`).toBe(
            zones.some((result) => result.zone === one && result.finding === two) ? 1 : 0,
          );
      for (const two of FINDINGS)
        expect(view.list({ subject: 'good', finding: two }, 0, 1).total).toBe(zones.some((result) => result.finding === two) ? 1 : 0);
      expect(view.list({ zone }, 0, 1).total).toBe(1);
      expect(view.list({ zone: 'no-zone', finding }, 0, 1).total + view.list({ zone: 'no-zone' }, 0, 1).total).toBe(0);
      expect(view.list({}, 1, 1)).toMatchObject({ total: 3, pairs: [{ pair: { subject: 'good' } }] });
      expect(view.tally().map(({ state, code, pairs }) => [state, code !== '', pairs])).toEqual([
        ['failed', true, 1],
        ['not-comparable', true, 1],
      ]);
      view.close();
    }));

  it('from dropped photographs: the same answers, read from the sealed shelf, which keeps them as long as the series is there', () =>
    withRecord(async (place) => {
      const { record } = place;
      const photos: { file: string; sha256: string }[] = [];
      for (const name of ['before', 'after']) {
        const stored = await record.addPhoto(bytesOf(`good ${name}`), `${name}.jpg`);
        if (stored.ok) photos.push({ file: `good/${name}.jpg`, sha256: stored.value.sha256 });
      }
      const text = manifestText({ good: '' });
      const id = await record.addSeries({ title: 'Dropped', source: { kind: 'shelf', name: 'manifest.csv', text }, photos, options });
      expect(await rested(place, id)).toMatchObject({ state: 'done', progress: { counts: { measured: 1 } } });
      expect(await record.removePhoto(photos[0]!.sha256)).toBe(false);
      const folder = record.seriesFolder(id);
      expect(await record.removeSeries(id)).toEqual({ ok: true, value: { photos: 2 } });
      expect(existsSync(folder)).toBe(false);
      expect(await record.photo(photos[0]!.sha256)).toBeNull();
      expect(await record.series(id)).toBeNull();
    }));

  it('seals what names it', () =>
    withRecord(async (place) => {
      const id = await fromFolder(place, SUBJECTS);
      await rested(place, id);
      const tables =
        readFileSync(join(place.dataDir, 'record.sqlite'), 'latin1') + readFileSync(join(place.dataDir, 'record.sqlite-wal'), 'latin1');
      expect(tables).toContain(id);
      expect(tables).not.toContain('Autumn');
      expect(tables).not.toContain('manifest.csv');
    }));

  it('stops when asked, and goes on without measuring anything twice', () =>
    withRecord(async (place) => {
      const { record } = place;
      const id = await fromFolder(place, Object.fromEntries(Array.from({ length: 6 }, (_, k) => [`s${k}`, 'slow'])));
      await record.heartbeat(RUNNER);
      const jobs = tend(place);
      await until(async () => ((await record.series(id))!.progress?.counts?.measured ?? 0) >= 1);
      await record.stopSeries(id);
      await until(async () => (await record.series(id))!.state === 'stopped');
      await jobs.stop();
      const stopped = record.seriesView(id)!;
      const measured = stopped.counts().measured;
      expect(measured).toBeGreaterThan(0);
      expect(measured).toBeLessThan(6);
      stopped.close();
      expect((await record.seriesFiles(id)).some(({ name }) => name === 'results.csv')).toBe(true);
      expect((await record.askSeries(id, { do: 'measure' })).ok).toBe(true);
      expect((await rested(place, id)).state).toBe('done');
      const view = record.seriesView(id)!;
      expect(view.list({}, 0, 10).pairs.map(({ state, attempts }) => [state, attempts])).toEqual(Array(6).fill(['measured', 1]));
      view.close();
    }));

  it('is given back when the program ends, and taken up again', () =>
    withRecord(async (place) => {
      const { record } = place;
      const id = await fromFolder(place, { a: 'slow', b: 'slow', c: 'slow', d: 'slow' });
      await record.heartbeat(RUNNER);
      const jobs = tend(place);
      await until(async () => (await record.series(id))!.state === 'running');
      await jobs.stop();
      expect(await record.series(id)).toMatchObject({ state: 'waiting', attempts: 0, stopAsked: false });
      expect(await rested(place, id)).toMatchObject({ state: 'done', progress: { counts: { measured: 4 } } });
    }));

  it('measures failed pairs once more only when asked to', () =>
    withRecord(async (place) => {
      const { record, dir } = place;
      const id = await fromFolder(place, { good: '', late: '' });
      await rm(join(dir, 'study', 'late', 'after.jpg'));
      // Rows without their file are left out; the pair comes when the file does.
      expect((await rested(place, id)).progress?.counts).toMatchObject({ measured: 1, failed: 0 });
      await writeFile(join(dir, 'study', 'late', 'after.jpg'), 'late after no-face');
      await record.askSeries(id, { do: 'measure' });
      expect((await rested(place, id)).progress?.counts).toMatchObject({ measured: 1, failed: 1 });
      await writeFile(join(dir, 'study', 'late', 'after.jpg'), 'late after');
      await record.askSeries(id, { do: 'measure' });
      expect((await rested(place, id)).progress?.counts).toMatchObject({ measured: 1, failed: 1 });
      await record.askSeries(id, { do: 'again' });
      expect((await rested(place, id)).progress?.counts).toMatchObject({ measured: 2, failed: 0 });
    }));

  it('exports tables that name nobody', () =>
    withRecord(async (place) => {
      const { record } = place;
      const id = await fromFolder(place, SUBJECTS);
      await rested(place, id);
      await record.askSeries(id, { do: 'export', keepGroups: false });
      expect((await rested(place, id)).state).toBe('done');
      const names = (await record.seriesFiles(id)).filter(({ set }) => set === 'deidentified').map(({ name }) => name);
      expect(names).toContain('pairs.csv');
      expect(names).not.toContain('inputs.csv');
      const text = await textOf((await record.openSeriesFile(id, 'deidentified', 'pairs.csv'))!.stream);
      expect(text.split('\n').length).toBeGreaterThan(3);
      for (const subject of Object.keys(SUBJECTS)) expect(text).not.toContain(subject);
    }));
});

describe('law: a series after trouble', () => {
  it('is taken back from a runner that fell silent, and stops instead where that was asked', () =>
    withRecord(async (place) => {
      const { record } = place;
      const id = await fromFolder(place, { good: '' });
      await record.heartbeat('gone');
      await record.claimSeries('gone');
      expect(await record.reclaimSeries(60_000)).toBe(0);
      await new Promise((resolve) => setTimeout(resolve, 20));
      expect(await record.reclaimSeries(1)).toBe(1);
      expect(await record.series(id)).toMatchObject({ state: 'waiting', attempts: 1 });
      expect(await record.settleSeries(id, 'gone', 'done')).toBe(false);
      await record.claimSeries('gone');
      await record.stopSeries(id);
      expect(await record.reclaimSeries(1)).toBe(1);
      expect((await record.series(id))!.state).toBe('stopped');
    }));

  it('is listed after a restore, without the folder that backups leave out, and gone on with to the same tables', () =>
    withRecord(async (place) => {
      const { record, dir, dataDir } = place;
      const id = await fromFolder(place, SUBJECTS);
      await rested(place, id);
      const tables = readFileSync(join(record.seriesFolder(id), 'results.csv'), 'utf8');
      const passphrase = 'nine kettles on the shelf';
      const [file, restored] = [join(dir, 'record.tar'), join(dir, 'restored')];
      expect(await backupRecord(file, { dataDir, given: {}, passphrase })).toMatchObject({ ok: true });
      expect(await restoreRecord(file, { dataDir: restored, passphrase: async () => passphrase })).toMatchObject({ ok: true });
      const other = openRecord({ dataDir: restored });
      expect(await other.series(id)).toMatchObject({ state: 'done', title: 'Autumn' });
      expect(other.seriesView(id)).toBeNull();
      expect(await other.seriesFiles(id)).toEqual([]);
      await other.askSeries(id, { do: 'measure' });
      expect((await rested({ dir, dataDir: restored, record: other }, id)).state).toBe('done');
      expect(readFileSync(join(other.seriesFolder(id), 'results.csv'), 'utf8')).toBe(tables);
      await other.close();
    }));

  it('leaves no folder behind that no row knows', () =>
    withRecord(async (place) => {
      const { record, dataDir } = place;
      const id = await fromFolder(place, { good: '' });
      await rested(place, id);
      const stray = join(dataDir, 'series', 'a'.repeat(32));
      await mkdir(stray);
      expect(await record.sweep()).toBe(1);
      expect(existsSync(stray)).toBe(false);
      expect(existsSync(record.seriesFolder(id))).toBe(true);
    }));
});

describe('law: the process of a series', () => {
  it('gets the key from its parent, works in the name of the runner, and ends', () =>
    withRecord(async (place) => {
      const { record, dir, dataDir } = place;
      const id = await fromFolder(place, { good: '' });
      await rm(join(dir, 'study'), { recursive: true });
      // With the key file away, nothing but the key that was sent opens the record.
      const { key } = unlockRecord(dataDir, {});
      await rename(join(dataDir, 'key'), join(dir, 'key'));
      await record.heartbeat(RUNNER);
      const series = (await record.claimSeries(RUNNER))!;
      await inProcess({ dataDir, key, runner: RUNNER })(series, new AbortController().signal);
      expect(await record.series(id)).toMatchObject({ state: 'failed', fault: { code: 'no-manifest' } });
    }));

  it('that cannot work is known for it, and ends at once when the program does', () =>
    withRecord(async (place) => {
      const { record, dataDir } = place;
      await fromFolder(place, { good: '' });
      const series = (await record.claimSeries(RUNNER))!;
      const work = inProcess({ dataDir, key: new Uint8Array(32), runner: RUNNER });
      await expect(work(series, new AbortController().signal)).rejects.toThrow('the process of a series ended');
      await expect(work(series, AbortSignal.abort())).resolves.toBeUndefined();
    }));
});

describe('refusal', () => {
  it('a manifest that is gone fails the series with its sentence; the series can be gone on with when it is back', () =>
    withRecord(async (place) => {
      const { record, dir } = place;
      const id = await fromFolder(place, { good: '' });
      await rm(join(dir, 'study', 'manifest.csv'));
      expect(await rested(place, id)).toMatchObject({ state: 'failed', fault: { code: 'no-manifest' } });
      await writeFile(join(dir, 'study', 'manifest.csv'), manifestText({ good: '' }));
      await record.askSeries(id, { do: 'measure' });
      expect(await rested(place, id)).toMatchObject({ state: 'done', fault: null });
    }));

  it('a series whose process dies again and again is given up, and says why', () =>
    withRecord(async (place) => {
      const { record } = place;
      const id = await fromFolder(place, { good: '' });
      await record.heartbeat(RUNNER);
      let tries = 0;
      const jobs = runSeriesJobs(record, {
        runner: RUNNER,
        work: async () => {
          tries++;
          throw new Error('died');
        },
      });
      await until(async () => (await record.series(id))!.state === 'failed');
      await jobs.stop();
      expect(tries).toBe(3);
      expect((await record.series(id))!.fault?.code).toBe('lost');
    }));

  it('neither more work nor removal while it is worked on; no file but its own is given out', () =>
    withRecord(async (place) => {
      const { record } = place;
      const id = await fromFolder(place, SUBJECTS);
      expect(await record.askSeries(id, { do: 'again' })).toMatchObject({ ok: false, why: 'busy' });
      expect(await record.removeSeries(id)).toMatchObject({ ok: false, why: 'busy' });
      expect(await record.askSeries('f'.repeat(32), { do: 'again' })).toMatchObject({ ok: false, why: 'gone' });
      await rested(place, id);
      for (const name of ['series.sqlite', '../record.sqlite', 'deidentify.key', 'results.csv/..'])
        expect(await record.openSeriesFile(id, 'tables', name)).toBeNull();
      expect(await record.openSeriesFile(id, '..', 'results.csv')).toBeNull();
      expect(await record.openSeriesFile('../x', 'tables', 'results.csv')).toBeNull();
    }));
});

async function textOf(stream: ReadableStream<Uint8Array>): Promise<string> {
  return new Response(stream).text();
}
