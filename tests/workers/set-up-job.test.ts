/** A comparison asked for on the page takes its error limits from the set-up that was chosen. */
import { describe, expect, it } from 'vitest';
import type { CompareOptions } from '#lib/compare/types.ts';
import { openRecord } from '#lib/record/open.ts';
import type { RecordStore } from '#lib/record/types.ts';
import { bytesOf, compareRequest, withDir } from '#tests/record/sample-jobs.ts';
import { sampleSetUp } from '#tests/series/sample-set-up.ts';
import type { Measuring } from '#workers/measuring.ts';
import { runJob } from '#workers/run-job.ts';
import { fakeMeasuring } from './fake-measuring.ts';

const withJob = (work: (record: RecordStore, setUp: string, ask: () => Promise<string>) => Promise<void>): Promise<void> =>
  withDir(async (dataDir) => {
    const record = openRecord({ dataDir });
    const [b, a] = [await record.addPhoto(bytesOf('b'), 'b.jpg'), await record.addPhoto(bytesOf('a'), 'a.jpg')];
    if (!b.ok || !a.ok) throw new Error('not taken');
    const setUp = await record.addSetUp(sampleSetUp());
    try {
      await work(record, setUp, () => record.enqueue({ ...compareRequest(b.value.sha256, a.value.sha256), options: { setUp } }));
    } finally {
      await record.close();
    }
  });

async function done(record: RecordStore, id: string): Promise<CompareOptions[]> {
  const asked: CompareOptions[] = [];
  const measuring: Measuring = {
    ...fakeMeasuring,
    comparePair: (before, after, options) => {
      asked.push(options);
      return fakeMeasuring.comparePair(before, after, options);
    },
  };
  const job = (await record.claim('r'))!;
  expect(job.id).toBe(id);
  await runJob({ record, runner: 'r', stopAsked: () => false }, job, measuring);
  return asked;
}

describe('law', () => {
  it('the very profile that was chosen is used, also when a newer one has its name', () =>
    withJob(async (record, _, ask) => {
      const id = await ask();
      await record.addSetUp(sampleSetUp({ pairs: 50 }));
      expect((await done(record, id))[0]!.setUp).toEqual(sampleSetUp());
      expect((await record.job(id))?.state).toBe('done');
    }));
  it('another set-up is another comparison', () =>
    withJob(async (record, setUp, ask) => {
      const id = await ask();
      expect(await ask()).toBe(id);
      const other = await record.addSetUp(sampleSetUp({ name: 'Attic' }));
      const { request } = (await record.job(id))!;
      if (request.kind !== 'compare') throw new Error('not a comparison');
      expect(request.options.setUp).toBe(setUp);
      expect(await record.enqueue({ ...request, options: { setUp: other } })).not.toBe(id);
    }));
});

describe('refusal', () => {
  it('a set-up that was taken away fails the job with a sentence', () =>
    withJob(async (record, _, ask) => {
      const id = await ask();
      await record.removeSetUp('Room 2');
      expect(await done(record, id)).toEqual([]);
      expect(await record.job(id)).toMatchObject({
        state: 'failed',
        fault: { code: 'no-set-up', message: expect.stringMatching(/Choose another/) },
      });
    }));
});
