/** The runner and its threads: jobs get done, threads may die, stops are obeyed, an end is clean. */
import { setTimeout as sleep } from 'node:timers/promises';
import { describe, expect, it, vi } from 'vitest';
import { openRecord } from '#lib/record/open.ts';
import type { RecordStore } from '#lib/record/types.ts';
import type { Job } from '#shared/job.ts';
import { bytesOf, checkRequest, compareRequest, withDir } from '#tests/record/sample-jobs.ts';
import { type Runner, type RunnerOptions, runJobs } from '#workers/run-jobs.ts';
import { USUAL_LIMITS } from '#workers/thread.ts';

const FAKE = new URL('./fake.thread.ts', import.meta.url);

type Scene = {
  record: RecordStore;
  runner: Runner;
  events: string[];
  add: (text: string) => Promise<string>;
  ended: (id: string) => Promise<Job>;
};

const withRunner = (work: (scene: Scene) => Promise<void>, options: Partial<RunnerOptions> = {}): Promise<void> =>
  withDir(async (dataDir) => {
    const record = openRecord({ dataDir });
    const events: string[] = [];
    const runner = runJobs(record, { dataDir, threadFile: FAKE, log: (event) => void events.push(event), ...options });
    const add = async (text: string): Promise<string> => {
      const added = await record.addPhoto(bytesOf(text), `${text}.jpg`);
      if (!added.ok) throw new Error(added.detail);
      return added.value.sha256;
    };
    const ended = async (id: string): Promise<Job> => {
      for (;;) {
        const job = await record.job(id);
        if (job && !['waiting', 'running'].includes(job.state)) return job;
        await sleep(20);
      }
    };
    try {
      await work({ record, runner, events, add, ended });
    } finally {
      await runner.stop();
      await record.close();
    }
  });

describe('law: jobs', () => {
  it('a check leaves its answer and the upright picture', () =>
    withRunner(async ({ record, add, ended }) => {
      const sha = await add('one');
      const id = await record.enqueue(checkRequest(sha));
      expect(await ended(id)).toMatchObject({ state: 'done', fraction: 1 });
      expect((await record.checkResult(id))?.sha256).toBe(sha);
      expect((await record.preview(sha))?.subarray(0, 2)).toEqual(new Uint8Array([0xff, 0xd8]));
      expect(await record.runnerAlive()).toBe(true);
    }));
  it('a comparison leaves plates, pictures as taken, report and table, and knows days, zones and scale', () =>
    withRunner(async ({ record, add, ended }) => {
      const [b, a] = [await add('before'), await add('after dated')];
      const id = await record.enqueue({
        ...compareRequest(b, a),
        options: { treatedZones: ['chin'], treatedOn: '2026-11-16', scale: { kind: 'interpupillary', distanceMm: 62 } },
      });
      expect((await ended(id)).state).toBe('done');
      const stored = await record.comparison(id);
      expect(stored?.comparison.parameters).toEqual({ days: 4, concern: ['chin'], scale: { kind: 'interpupillary', distanceMm: 62 } });
      const files = await record.plateFiles(id);
      for (const part of [
        'plate.json',
        'before.jpg',
        'after-relit.jpg',
        'change-map.png',
        'displacement.i16.gz',
        'before-as-taken.jpg',
        'after-as-taken.jpg',
      ])
        expect(files).toContain(`frontal.${part}`);
      expect(new TextDecoder().decode((await record.plateFile(id, 'report.html'))!)).toContain('A case');
    }));
  it('a pair that is not comparable is an answer, with the pictures as taken', () =>
    withRunner(async ({ record, add, ended }) => {
      const id = await record.enqueue(compareRequest(await add('refuse'), await add('b')));
      expect((await ended(id)).state).toBe('done');
      expect((await record.comparison(id))?.comparable).toBe(false);
      expect(await record.plateFiles(id)).toEqual([
        'frontal.after-as-taken.jpg',
        'frontal.before-as-taken.jpg',
        'report.html',
        'table.csv',
      ]);
    }));
  it('checks are done while a comparison runs', () =>
    withRunner(async ({ record, add, ended }) => {
      const long = await record.enqueue(compareRequest(await add('slow'), await add('b')));
      while ((await record.job(long))?.state !== 'running') await sleep(10);
      const short = await record.enqueue(checkRequest(await add('c')));
      await ended(short);
      expect((await record.job(long))?.state).toBe('running');
      expect((await ended(long)).state).toBe('done');
    }));
});

describe('refusal', () => {
  it('bad data fails the job with its own sentence and the photograph it is about', () =>
    withRunner(async ({ record, add, ended, events }) => {
      const sha = await add('no-face');
      expect(await ended(await record.enqueue(checkRequest(sha)))).toMatchObject({
        state: 'failed',
        attempts: 1,
        fault: { code: 'no-face', photo: sha },
      });
      const text = await add('not-an-image');
      expect((await ended(await record.enqueue(compareRequest(text, sha)))).fault?.message).toBe('b.jpg is not a photograph.');
      expect(events).not.toContain('thread-died');
    }));
  it("the program's own error fails the job without a stack in the sentence, and the thread goes on", () =>
    withRunner(async ({ record, add, ended, events }) => {
      const job = await ended(await record.enqueue(checkRequest(await add('throw'))));
      expect(job.fault?.code).toBe('program-error');
      expect(job.fault?.message).not.toMatch(/TypeError|at /);
      // the thread writes the record first and tells the runner then
      await vi.waitFor(() => expect(events).toContain('program-error'), 10_000);
      expect((await ended(await record.enqueue(checkRequest(await add('fine'))))).state).toBe('done');
    }));
});

describe('law: threads that die', () => {
  it('an ended thread is replaced and the job tried once more, then failed with a reason', () =>
    withRunner(async ({ record, add, ended, events }) => {
      const job = await ended(await record.enqueue(checkRequest(await add('exit'))));
      expect(job).toMatchObject({ state: 'failed', attempts: 2, fault: { code: 'thread-died' } });
      expect(events.filter((event) => event === 'thread-died')).toHaveLength(2);
      expect((await ended(await record.enqueue(checkRequest(await add('fine'))))).state).toBe('done');
    }));
  it('a thread that eats the heap dies alone', () =>
    withRunner(
      async ({ record, add, ended }) => {
        expect((await ended(await record.enqueue(checkRequest(await add('heap'))))).fault?.code).toBe('thread-died');
        expect((await ended(await record.enqueue(checkRequest(await add('fine'))))).state).toBe('done');
      },
      { limits: { ...USUAL_LIMITS, heapMb: 64 } },
    ));
  it('threads are renewed after their share of jobs, and nothing is lost', () =>
    withRunner(
      async ({ record, add, ended }) => {
        const ids = await Promise.all(['a', 'b', 'c', 'd', 'e'].map(async (text) => record.enqueue(checkRequest(await add(text)))));
        expect((await Promise.all(ids.map(ended))).map((job) => job.state)).toEqual(Array(5).fill('done'));
      },
      { limits: { ...USUAL_LIMITS, mostJobs: 1 } },
    ));
});

describe('law: stops', () => {
  const stopAt = async ({ record, add, ended }: Scene, text: string): Promise<Job> => {
    const id = await record.enqueue(compareRequest(await add(text), await add('b')));
    while ((await record.job(id))?.step !== 'Aligning') await sleep(10);
    await record.cancel(id);
    return ended(id);
  };
  it('are obeyed at the next step, long before the end, and the thread goes on', () =>
    withRunner(async (scene) => {
      expect(await stopAt(scene, 'long')).toMatchObject({ state: 'stopped', step: 'Aligning' });
      expect(scene.events).not.toContain('thread-died');
    }));
  it('are enforced when the measuring does not listen', () =>
    withRunner(async (scene) => {
      expect((await stopAt(scene, 'deaf')).state).toBe('stopped');
      expect(scene.events).toContain('thread-died');
      expect((await scene.ended(await scene.record.enqueue(checkRequest(await scene.add('fine'))))).state).toBe('done');
    }));
});

describe('law: ends', () => {
  it('a runner that ends gives its job back, untried, and another does it', () =>
    withDir(async (dataDir) => {
      const record = openRecord({ dataDir });
      const [b, a] = [await record.addPhoto(bytesOf('slow'), 'b.jpg'), await record.addPhoto(bytesOf('x'), 'a.jpg')];
      if (!b.ok || !a.ok) throw new Error('not taken');
      const id = await record.enqueue(compareRequest(b.value.sha256, a.value.sha256));
      const first = runJobs(record, { dataDir, threadFile: FAKE });
      while ((await record.job(id))?.state !== 'running') await sleep(10);
      await first.stop();
      expect(await record.job(id)).toMatchObject({ state: 'waiting', attempts: 0, step: '' });
      const second = runJobs(record, { dataDir, threadFile: FAKE });
      while ((await record.job(id))?.state !== 'done') await sleep(20);
      await second.stop();
      await record.close();
    }));
});
