/** What every store of the record must do, whatever lies beneath. Run by one test file for each implementation. */
import { describe, expect, it } from 'vitest';
import { setUpUse } from '#lib/compare/set-up.ts';
import type { RecordStore } from '#lib/record/types.ts';
import { incomparable, sampleComparison } from '#tests/report/sample-comparison.ts';
import { sampleSetUp } from '#tests/series/sample-set-up.ts';
import { bytesOf, checkRequest, compareRequest, photoCheck } from './sample-jobs.ts';

/** `withRecords` opens the same fresh record twice, as two processes would. */
export function recordContract(withRecords: (work: (page: RecordStore, runner: RecordStore) => Promise<void>) => Promise<void>): void {
  const two = async (record: RecordStore): Promise<[string, string]> => {
    const before = await record.addPhoto(bytesOf('before'), 'b.jpg');
    const after = await record.addPhoto(bytesOf('after'), 'a.jpg');
    if (!before.ok || !after.ok) throw new Error('the photographs were not taken');
    return [before.value.sha256, after.value.sha256];
  };

  describe('law: the photo shelf', () => {
    it('gives back the very bytes under their SHA-256', () =>
      withRecords(async (page, runner) => {
        const added = await page.addPhoto(bytesOf('abc'), 'x.jpg');
        // FIPS 180-4, example of SHA-256("abc").
        expect(added.ok && added.value.sha256).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad');
        expect(added.ok && new TextDecoder().decode((await runner.photoBytes(added.value.sha256))!)).toBe('abc');
      }));
    it('keeps the first name when the same bytes come again', () =>
      withRecords(async (page) => {
        await page.addPhoto(bytesOf('abc'), 'first.jpg');
        const again = await page.addPhoto(bytesOf('abc'), 'second.jpg');
        expect(again.ok && again.value.name).toBe('first.jpg');
      }));
    it('knows nothing of a photograph that is not there, nor of a path', () =>
      withRecords(async (page) => {
        expect(await page.photo('0'.repeat(64))).toBeNull();
        expect(await page.photoBytes('0'.repeat(64))).toBeNull();
        expect(await page.photoBytes('../record.sqlite')).toBeNull();
        expect(await page.preview('../record.sqlite')).toBeNull();
        expect(await page.removePhoto('0'.repeat(64))).toBe(false);
      }));
    it('removes a photograph with its preview and its finished checks, but not one in use', () =>
      withRecords(async (page, runner) => {
        const [sha] = await two(page);
        await runner.putPreview(sha, bytesOf('small'));
        const id = await page.enqueue(checkRequest(sha));
        expect(await page.removePhoto(sha)).toBe(false);
        await runner.claim('r');
        await runner.finishCheck(id, 'r', photoCheck(sha));
        expect(await page.removePhoto(sha)).toBe(true);
        expect([await page.photoBytes(sha), await page.preview(sha), await page.job(id)]).toEqual([null, null, null]);
      }));
  });

  describe('refusal: the photo shelf', () => {
    it('refuses no bytes, by name', () =>
      withRecords(async (page) => {
        const added = await page.addPhoto(new Uint8Array(0), 'x.jpg');
        expect(added).toMatchObject({ ok: false, why: 'empty', detail: expect.stringContaining('x.jpg') });
      }));
    it('refuses more bytes than allowed and keeps nothing of them', () =>
      withRecords(async (page) => {
        async function* many() {
          for (let i = 0; i < 5; i++) yield bytesOf('1234567890');
        }
        const added = await page.addPhotoStream(many(), 'x.jpg', 49);
        expect(added).toMatchObject({ ok: false, why: 'too-large' });
      }));
  });

  describe('law: the queue', () => {
    it('answers an equal request with the same job, also once it is done', () =>
      withRecords(async (page, runner) => {
        const [sha] = await two(page);
        const id = await page.enqueue(checkRequest(sha));
        expect(await runner.enqueue(checkRequest(sha))).toBe(id);
        await runner.claim('r');
        expect(await page.enqueue(checkRequest(sha))).toBe(id);
        await runner.finishCheck(id, 'r', photoCheck(sha));
        expect(await page.enqueue(checkRequest(sha))).toBe(id);
        expect(await page.enqueue(checkRequest(sha), { again: true })).not.toBe(id);
        expect(await page.enqueue({ ...checkRequest(sha), scale: { kind: 'iris' } })).not.toBe(id);
      }));
    it('tries again after a failure and after a stop', () =>
      withRecords(async (page, runner) => {
        const [sha] = await two(page);
        const first = await page.enqueue(checkRequest(sha));
        await runner.claim('r');
        await runner.fail(first, 'r', { code: 'no-face', message: 'No face.', photo: sha });
        const second = await page.enqueue(checkRequest(sha));
        expect(second).not.toBe(first);
        expect((await page.cancel(second))?.state).toBe('stopped');
        expect(await page.enqueue(checkRequest(sha))).not.toBe(second);
      }));
    it('hands out checks before comparisons, and the older before the newer', () =>
      withRecords(async (page, runner) => {
        const [b, a] = await two(page);
        const compare = await page.enqueue(compareRequest(b, a));
        const check = await page.enqueue(checkRequest(b));
        expect((await runner.claim('r'))?.id).toBe(check);
        expect(await runner.claim('r', 'check')).toBeNull();
        expect((await runner.claim('r', 'compare'))?.id).toBe(compare);
        expect(await runner.claim('r')).toBeNull();
      }));
    it('gives each job to one of two who ask at once', () =>
      withRecords(async (page, runner) => {
        const [b, a] = await two(page);
        await page.enqueue(checkRequest(b));
        await page.enqueue(checkRequest(a));
        const taken = await Promise.all([page.claim('p'), runner.claim('r'), page.claim('p'), runner.claim('r')]);
        const ids = taken.flatMap((job) => (job ? [job.id] : []));
        expect(ids).toHaveLength(2);
        expect(new Set(ids).size).toBe(2);
      }));
    it('shows progress to the other process, and carries a stop back', () =>
      withRecords(async (page, runner) => {
        const [b, a] = await two(page);
        const id = await page.enqueue(compareRequest(b, a));
        await runner.claim('r');
        expect(await runner.progress(id, 'r', 'Aligning', 0.4)).toBe('go-on');
        expect(await page.job(id)).toMatchObject({ state: 'running', step: 'Aligning', fraction: 0.4 });
        await page.cancel(id);
        // A new request is not answered by a job that is being stopped.
        expect(await page.enqueue(compareRequest(b, a))).not.toBe(id);
        expect(await runner.progress(id, 'r', 'Relighting', 0.5)).toBe('stop');
        expect(await runner.stopped(id, 'r')).toBe(true);
        expect((await page.job(id))?.state).toBe('stopped');
      }));
    it('lists jobs, newest first, by state and kind', () =>
      withRecords(async (page) => {
        const [b, a] = await two(page);
        await page.enqueue(checkRequest(b));
        const compare = await page.enqueue(compareRequest(b, a));
        expect((await page.jobs()).length).toBe(2);
        expect((await page.jobs({ kind: 'compare' })).map((job) => job.id)).toEqual([compare]);
        expect(await page.jobs({ state: 'done' })).toEqual([]);
      }));
  });

  describe('refusal: the queue', () => {
    it('throws for a photograph that is not on the shelf', () =>
      withRecords(async (page) => {
        await expect(page.enqueue(checkRequest('0'.repeat(64)))).rejects.toThrow(RangeError);
        expect(await page.jobs()).toEqual([]);
      }));
    it('throws for a request that does not fit the schema', () =>
      withRecords(async (page) => {
        const [b, a] = await two(page);
        await expect(
          page.enqueue({ ...compareRequest(b, a), options: { scale: { kind: 'interpupillary', distanceMm: 6.3 } } }),
        ).rejects.toThrow();
      }));
  });

  describe('law: a runner that dies', () => {
    it('loses its job, which waits again and is then held by another', () =>
      withRecords(async (page, runner) => {
        const [b] = await two(page);
        const id = await page.enqueue(checkRequest(b));
        await runner.claim('dead');
        expect(await page.reclaim(60_000)).toBe(0);
        await later();
        expect(await page.reclaim(0)).toBe(1);
        expect((await page.claim('alive'))?.id).toBe(id);
        expect(await runner.progress(id, 'dead', 'Late', 0.9)).toBe('stop');
        expect(await runner.finishCheck(id, 'dead', photoCheck(b))).toBe(false);
        expect(await page.finishCheck(id, 'alive', photoCheck(b))).toBe(true);
        expect((await page.checkResult(id))?.sha256).toBe(b);
      }));
    it('fails its job the second time, with a sentence', () =>
      withRecords(async (page, runner) => {
        const [b] = await two(page);
        const id = await page.enqueue(checkRequest(b));
        for (const name of ['one', 'two']) {
          await runner.claim(name);
          await later();
          await page.reclaim(0);
        }
        const job = await page.job(id);
        expect(job).toMatchObject({ state: 'failed', attempts: 2, fault: { code: 'lost' } });
        expect(job?.fault?.message).toMatch(/\.$/);
      }));
    it('gives a job that was to be stopped its stop', () =>
      withRecords(async (page, runner) => {
        const [b] = await two(page);
        const id = await page.enqueue(checkRequest(b));
        await runner.claim('dead');
        await page.cancel(id);
        await later();
        await page.reclaim(0);
        expect((await page.job(id))?.state).toBe('stopped');
      }));
    it('keeps its job while it is heard', () =>
      withRecords(async (page, runner) => {
        const [b] = await two(page);
        await page.enqueue(checkRequest(b));
        await runner.claim('slow');
        await runner.heartbeat('slow');
        expect(await page.runnerAlive()).toBe(true);
        expect(await page.reclaim(5_000)).toBe(0);
      }));
    it('releases its jobs untried when it leaves in order', () =>
      withRecords(async (page, runner) => {
        const [b] = await two(page);
        const id = await page.enqueue(checkRequest(b));
        await runner.claim('leaving');
        expect(await runner.release('leaving')).toBe(1);
        expect(await page.job(id)).toMatchObject({ state: 'waiting', attempts: 0 });
        expect(await page.runnerAlive()).toBe(false);
      }));
    it('retries a lost thread once', () =>
      withRecords(async (page, runner) => {
        const [b] = await two(page);
        const id = await page.enqueue(checkRequest(b));
        const fault = { code: 'thread', message: 'It died.', photo: null };
        await runner.claim('r');
        await runner.fail(id, 'r', fault, { retry: true });
        expect((await page.job(id))?.state).toBe('waiting');
        await runner.claim('r');
        await runner.fail(id, 'r', fault, { retry: true });
        expect(await page.job(id)).toMatchObject({ state: 'failed', fault });
      }));
  });

  describe('law: comparisons', () => {
    const measured = async (page: RecordStore, runner: RecordStore, comparison = sampleComparison()) => {
      const [b, a] = await two(page);
      const id = await page.enqueue(compareRequest(b, a));
      await runner.claim('r', 'compare');
      const files = [
        { name: 'frontal.before.jpg', bytes: bytesOf('jpeg') },
        { name: 'report.html', bytes: bytesOf('<p>') },
      ];
      expect(await runner.finishCompare(id, 'r', comparison, files)).toBe(true);
      return { id, b, a };
    };
    it('come back as they went in, with their files', () =>
      withRecords(async (page, runner) => {
        const { id } = await measured(page, runner);
        expect((await page.job(id))?.state).toBe('done');
        const stored = await page.comparison(id);
        expect(stored?.comparison).toEqual(sampleComparison());
        expect(stored).toMatchObject({ title: 'A case', demo: false, comparable: true, beyondError: 2, assessed: 27, views: ['frontal'] });
        expect(await page.plateFiles(id)).toEqual(['frontal.before.jpg', 'report.html']);
        expect(new TextDecoder().decode((await page.plateFile(id, 'frontal.before.jpg'))!)).toBe('jpeg');
        expect(await page.plateFile(id, 'frontal.after-relit.jpg')).toBeNull();
        expect(await page.plateFile(id, '../../record.sqlite')).toBeNull();
        expect(await page.plateFile('..', 'report.html')).toBeNull();
        expect((await page.listComparisons()).map((summary) => summary.id)).toEqual([id]);
        expect(await page.listComparisons({ demo: true })).toEqual([]);
      }));
    it('are kept when the pair was not comparable', () =>
      withRecords(async (page, runner) => {
        const { id } = await measured(page, runner, incomparable());
        expect(await page.comparison(id)).toMatchObject({ comparable: false, beyondError: 0, assessed: 0 });
      }));
    it('go with their files, job and photographs, so that an equal request measures anew', () =>
      withRecords(async (page, runner) => {
        const { id, b, a } = await measured(page, runner);
        expect(await page.removePhoto(b)).toBe(false);
        expect(await page.removeComparison(id)).toBe(true);
        expect(await page.removeComparison(id)).toBe(false);
        expect([await page.comparison(id), await page.job(id), await page.plateFile(id, 'report.html')]).toEqual([null, null, null]);
        expect([await page.photoBytes(b), await page.photoBytes(a)]).toEqual([null, null]);
      }));
    it('leave photographs that another comparison uses', () =>
      withRecords(async (page, runner) => {
        const { id, b } = await measured(page, runner);
        const other = await page.addPhoto(bytesOf('third'), 'c.jpg');
        if (!other.ok) throw new Error('not taken');
        const second = await page.enqueue(compareRequest(b, other.value.sha256));
        await runner.claim('r', 'compare');
        await runner.finishCompare(second, 'r', sampleComparison(), []);
        await page.removeComparison(id);
        expect(await page.photoBytes(b)).not.toBeNull();
        expect((await page.comparison(second))?.id).toBe(second);
      }));
    it('are not written by a runner that has lost the job', () =>
      withRecords(async (page, runner) => {
        const [b, a] = await two(page);
        const id = await page.enqueue(compareRequest(b, a));
        await runner.claim('dead');
        await later();
        await page.reclaim(0);
        expect(await runner.finishCompare(id, 'dead', sampleComparison(), [])).toBe(false);
        expect(await page.comparison(id)).toBeNull();
        expect((await page.job(id))?.state).toBe('waiting');
      }));
  });

  describe('law: set-ups', () => {
    it('are found by address and by name, the newest of a name first, and a former one stays', () =>
      withRecords(async (page, runner) => {
        const first = await page.addSetUp(sampleSetUp());
        expect(await runner.addSetUp(sampleSetUp())).toBe(first);
        await later();
        const second = await page.addSetUp(sampleSetUp({ pairs: 40 }));
        await page.addSetUp(sampleSetUp({ name: 'Attic' }));
        expect((await runner.setUp('Room 2'))?.sha256).toBe(second);
        expect((await runner.setUp(first))?.profile).toEqual(sampleSetUp());
        expect((await page.listSetUps()).map(({ profile }) => [profile.name, profile.pairs])).toEqual([
          ['Attic', 3],
          ['Room 2', 40],
        ]);
        expect(await page.removeSetUp('Room 2')).toBe(2);
        expect([await page.setUp('Room 2'), await page.setUp(first)]).toEqual([null, null]);
      }));
    it('have the address that results give them', () =>
      withRecords(async (page) => {
        expect(await page.addSetUp(sampleSetUp())).toBe(setUpUse(sampleSetUp()).sha256);
      }));
    it('are not taken when they do not fit', () =>
      withRecords(async (page) => {
        await expect(page.addSetUp({ ...sampleSetUp(), pairs: 0 })).rejects.toThrow();
        expect(await page.listSetUps()).toEqual([]);
      }));
  });
}

/** The record's clock has milliseconds; "silent for longer than 0 ms" needs one to pass. */
const later = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 5));
