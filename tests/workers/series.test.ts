/**
 * A series as a researcher would: propose a manifest, run, kill, go on, look, export, and do it again to the same bytes. Twenty pairs
 * of drawn faces with the real measurement; `node workers/make-series.ts FOLDER` makes two hundred.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync } from 'node:fs';
import { readdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openSqliteSeries } from '#lib/record/series/sqlite-series.ts';
import { withDir } from '#tests/record/sample-jobs.ts';
import { ebbline } from '#workers/cli.ts';
import { type MadeSeries, makeSeries } from '#workers/make-series.ts';
import { loadMeasuring } from '#workers/measuring.ts';
import { until } from './fake-study.ts';

const PAIRS = 20;
const CLI = fileURLToPath(new URL('../../workers/cli.ts', import.meta.url));

type Said = Readonly<{ exit: number; out: string; err: string }>;

async function said(...args: string[]): Promise<Said> {
  const words = { out: '', err: '' };
  const exit = await ebbline(args, {
    out: (text) => {
      words.out += text;
    },
    err: (text) => {
      words.err += text;
    },
    terminal: false,
    columns: 80,
    env: {},
    measuring: loadMeasuring,
  });
  return { exit, ...words };
}

const start = (...args: string[]): ChildProcess => spawn(process.execPath, [CLI, ...args], { stdio: ['ignore', 'ignore', 'inherit'] });
const rowsIn = async (path: string): Promise<Record<string, string>[]> =>
  parse(await readFile(path), { columns: true }) as Record<string, string>[];

describe('law: a study from folder to tables', () => {
  let dir: string;
  let made: MadeSeries;
  let done: () => void;
  let over: Promise<void>;
  beforeAll(async () => {
    await new Promise<void>((ready) => {
      over = withDir(async (fresh) => {
        dir = fresh;
        ready();
        await new Promise<void>((resolve) => {
          done = resolve;
        });
      });
    });
    made = await makeSeries(join(dir, 'study'), { pairs: PAIRS });
  }, 180_000);
  afterAll(async () => {
    done();
    await over;
  });
  const tables = async (folder: string): Promise<Map<string, Buffer>> => {
    const names = (await readdir(folder)).filter((name) => /\.(csv|json|parquet)$/.test(name)).sort();
    return new Map(await Promise.all(names.map(async (name) => [name, await readFile(join(folder, name))] as const)));
  };

  it('init finds visits, repeats and views by itself, and never writes over a manifest', { timeout: 120_000 }, async () => {
    const study = join(dir, 'study');
    const proposed = join(study, 'proposed.csv');
    expect((await said('series', 'init', study)).err).toMatch(/is there already.*--force/);
    expect((await said('series', 'init', study, '--out', proposed)).exit).toBe(0);
    const [truth, guess] = [await rowsIn(made.manifest), await rowsIn(proposed)];
    const facts = (row: Record<string, string>): string => [row.subject, row.date, row.view, row.file, row.role].join(' ');
    expect(guess.map(facts).sort()).toEqual(truth.map(facts).sort());
    expect(await said('series', 'check', proposed)).toMatchObject({
      exit: 0,
      out: expect.stringMatching(new RegExp(`^${PAIRS} pairs of ${made.subjects} subjects`)),
    });
  });

  it('run, SIGKILL, resume: every pair once; anew with one worker: the same bytes', { timeout: 300_000 }, async () => {
    const out = join(dir, 'results');
    const killed = start('series', 'run', made.manifest, '--out', out);
    await until(async () => existsSync(join(out, 'series.sqlite')));
    const store = openSqliteSeries(join(out, 'series.sqlite'));
    await until(async () => (await store.counts()).measured >= 4);
    killed.kill('SIGKILL');
    await once(killed, 'exit');
    const kept = await store.pairs({ state: 'measured' });
    expect(kept.length).toBeGreaterThanOrEqual(4);
    expect(kept.length).toBeLessThan(PAIRS);
    expect(await said('series', 'run', made.manifest, '--out', out)).toMatchObject({ exit: 2, err: expect.stringContaining('--resume') });

    const resumed = start('series', made.manifest, '--out', out, '--resume');
    expect((await once(resumed, 'exit'))[0]).toBe(0);
    const all = await store.pairs();
    await store.close();
    expect(all.map(({ state }) => state)).toEqual(Array(PAIRS).fill('measured'));
    const attempts = new Map(all.map((one) => [one.pair.pair, one.attempts]));
    expect(kept.filter((one) => attempts.get(one.pair.pair) !== one.attempts)).toEqual([]);

    const again = start('series', 'run', made.manifest, '--out', join(dir, 'again'), '--workers', '1');
    expect((await once(again, 'exit'))[0]).toBe(0);
    const [first, second] = [await tables(out), await tables(join(dir, 'again'))];
    expect([...first.keys()]).toEqual([
      'datapackage.json',
      'failures.csv',
      'inputs.csv',
      'pairs.csv',
      'ratings.csv',
      'results.csv',
      'results.parquet',
      'ro-crate-metadata.json',
    ]);
    expect([...first].filter(([name, bytes]) => !second.get(name)?.equals(bytes)).map(([name]) => name)).toEqual([]);
  });

  it('the tables tell treated from untreated, hold every pair and grade, and no trace of this machine', async () => {
    const out = join(dir, 'results');
    const pairs = await rowsIn(join(out, 'pairs.csv'));
    const truth = await rowsIn(made.manifest);
    expect(pairs).toHaveLength(PAIRS);
    expect((await rowsIn(join(out, 'ratings.csv'))).length).toBe(2 * truth.filter(({ role }) => role === 'follow-up').length);
    const pooled = (kind: string, group: string): number[] =>
      pairs.filter((row) => row.kind === kind && row.group === group).map((row) => Number(row.pooledVolumeMl));
    const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
    // 1.8 mL were taken from the treated; small photographs show about half of it.
    expect(mean(pooled('change', 'treated'))).toBeLessThan(-0.4);
    expect(Math.abs(mean(pooled('change', 'control')))).toBeLessThan(0.15);
    const text = [...(await tables(out))]
      .filter(([name]) => !name.endsWith('.parquet'))
      .map(([, bytes]) => bytes.toString())
      .join('');
    expect(text).not.toContain(dir);
    expect(text).not.toContain(process.cwd());
  });

  it('status and export: counts, and tables without anything that leads back', async () => {
    const out = join(dir, 'results');
    expect(JSON.parse((await said('series', 'status', out, '--json')).out)).toMatchObject({ measured: PAIRS, waiting: 0, failures: [] });
    const shared = join(dir, 'shared');
    expect(await said('series', 'export', out, '--deidentified', out)).toMatchObject({
      exit: 2,
      err: expect.stringContaining('folder of its own'),
    });
    expect((await said('series', 'export', out, '--deidentified', shared)).exit).toBe(0);
    const once_ = await tables(shared);
    expect([...once_.keys()]).not.toContain('inputs.csv');
    const text = [...once_.values()].map((bytes) => bytes.toString('latin1')).join('');
    const key = (await readFile(join(out, 'deidentify.key'), 'utf8')).trim();
    for (const word of ['S0001', 'front.jpg', 'follow-up/', 'Drawn', 'treated,', '2026-0', 'manifest.csv', dir, key])
      expect(text).not.toContain(word);
    const [plain] = await rowsIn(join(out, 'pairs.csv'));
    expect(text).not.toContain(plain!.beforeSha256!);
    expect(await rowsIn(join(shared, 'results.csv'))).toHaveLength((await rowsIn(join(out, 'results.csv'))).length);
    await said('series', 'export', out, '--deidentified', shared);
    expect([...(await tables(shared))].filter(([name, bytes]) => !once_.get(name)!.equals(bytes))).toEqual([]);
    // A word of the reader's own in that folder would be handed on with it.
    await writeFile(join(shared, 'names.txt'), 'x');
    expect(await said('series', 'export', out, '--deidentified', shared)).toMatchObject({
      exit: 2,
      err: expect.stringContaining('names.txt'),
    });
  });
});

describe('refusal: the command line', () => {
  const wrong: readonly Readonly<{ args: readonly string[]; exit: number; says: RegExp }>[] = [
    { args: ['series'], exit: 2, says: /Name a part \(init, check, run/ },
    { args: ['series', 'rum'], exit: 2, says: /"rum" is neither a manifest/ },
    { args: ['series', 'run'], exit: 2, says: /Name the manifest/ },
    { args: ['series', 'run', 'x.csv'], exit: 2, says: /--out DIR/ },
    { args: ['series', 'x.csv', '--out', 'y', '--workers', '0'], exit: 2, says: /--workers needs a whole number from 1/ },
    { args: ['series', 'x.csv', '--out', 'y', '--retry-failed'], exit: 2, says: /goes with --resume/ },
    { args: ['series', 'x.csv', '--out', 'y', '--queue', 'mysql://x'], exit: 2, says: /PostgreSQL/ },
    { args: ['series', 'x.csv', '--out', 'y', '--queue', 'env', '--name', 'z'], exit: 2, says: /EBBLINE_QUEUE is not set/ },
    { args: ['series', 'x.csv', '--out', 'y', '--queue', 'postgres://h/d'], exit: 2, says: /needs a name/ },
    { args: ['series', 'absent.csv', '--out', '/nonexistent-folder/y'], exit: 4, says: /no manifest absent\.csv/ },
    { args: ['series', 'x.csv', '--out', 'docs'], exit: 2, says: /is not of a series, so nothing is written there/ },
    { args: ['series', 'x.csv', '--out', '/nonexistent-folder/y', '--photos', 's3://b'], exit: 4, says: /no manifest/ },
    { args: ['series', 'status', '/nonexistent-folder'], exit: 2, says: /holds no series/ },
    { args: ['series', 'init', '/nonexistent-folder'], exit: 4, says: /no folder that can be read/ },
    { args: ['work'], exit: 2, says: /Name the queue/ },
    { args: ['work', '--queue', 'postgres://h/d', '--photos', '/nonexistent-folder'], exit: 2, says: /is no folder/ },
    { args: ['work', '--queue', 'postgres://h/d', '--photos', 's3://b/p'], exit: 2, says: /EBBLINE_S3_ENDPOINT is not set/ },
    { args: ['work', '--queue', 'postgres://ebbline@127.0.0.1:1/d'], exit: 2, says: /queue cannot be opened \(ECONNREFUSED/ },
  ];
  for (const { args, exit, says } of wrong)
    it(`ebbline ${args.join(' ')}`, { timeout: 30_000 }, async () => {
      const answer = await said(...args);
      expect(answer.err).toMatch(says);
      expect(answer.exit).toBe(exit);
    });

  it('every part has its own help', async () => {
    for (const part of ['init', 'check', 'run', 'status', 'export'])
      expect(await said('series', part, '--help')).toMatchObject({
        exit: 0,
        out: expect.stringMatching(new RegExp(`^ebbline series ${part} - `)),
      });
    expect((await said('series', '--help')).out).toMatch(/^ebbline series - /);
  });
});
