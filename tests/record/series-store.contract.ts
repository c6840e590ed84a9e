/** What every store of a series must do, whatever lies beneath. Run by one test file for each implementation. */
import { describe, expect, it } from 'vitest';
import { MOST_ATTEMPTS, type SeriesHead, type SeriesStore } from '#lib/record/series/types.ts';
import { comparisonSchema } from '#shared/comparison.ts';
import { answerOf, headOf, pairOf, pairsNamed } from '#tests/series/sample-series.ts';

export type TwoStores = Readonly<{
  /** The same fresh series twice, as two processes would open it. */
  one: SeriesStore;
  two: SeriesStore;
  /** Lets every lease run out, and the store notice. */
  lapse: () => Promise<void>;
}>;

export function seriesStoreContract(withStores: (work: (stores: TwoStores) => Promise<void>) => Promise<void>): void {
  const begun = (pairs: readonly string[], work: (stores: TwoStores) => Promise<void>, head: SeriesHead = headOf()): Promise<void> =>
    withStores(async (stores) => {
      await stores.one.begin(head, pairsNamed(pairs));
      await work(stores);
    });

  describe('law: beginning', () => {
    it('knows nothing before it is begun, and all of it after', () =>
      withStores(async ({ one, two }) => {
        expect(await one.head()).toBeNull();
        expect(await one.claim('w')).toBeNull();
        const head = headOf();
        expect(await one.begin(head, pairsNamed(['a', 'b', 'c']))).toEqual({ added: 3, kept: 0, changed: 0, gone: 0 });
        expect(await two.head()).toEqual(head);
        expect((await two.pairs()).map(({ pair, state }) => [pair.pair, state])).toEqual([
          ['a/v1/v2', 'waiting'],
          ['b/v1/v2', 'waiting'],
          ['c/v1/v2', 'waiting'],
        ]);
        expect(await two.pair('b/v1/v2')).toMatchObject({ pair: pairOf('b'), attempts: 0, comparison: null });
        expect(await two.pair('z/v1/v2')).toBeNull();
      }));

    it('keeps answers of pairs that are asked for as before, asks changed ones anew, forgets the rest', () =>
      begun(['a', 'b', 'c'], async ({ one, two }) => {
        for (let k = 0; k < 3; k++) {
          const task = (await one.claim('w'))!;
          await one.finish(task, answerOf(task.id));
        }
        const changed = { ...pairOf('b'), treatedOn: '2026-01-02' };
        expect(await two.begin(headOf(), [pairOf('a'), changed, pairOf('d')])).toEqual({ added: 1, kept: 1, changed: 1, gone: 1 });
        expect((await two.pairs()).map(({ pair, state }) => [pair.subject, state])).toEqual([
          ['a', 'measured'],
          ['b', 'waiting'],
          ['d', 'waiting'],
        ]);
        // Another scale is another question to every pair.
        const again = await two.begin(headOf({ scale: { kind: 'interpupillary', distanceMm: 61 } }), [pairOf('a')]);
        expect(again).toMatchObject({ changed: 1, kept: 0 });
        expect((await two.claim('w'))?.ask.scale).toEqual({ kind: 'interpupillary', distanceMm: 61 });
      }));
  });

  describe('law: claiming', () => {
    it('gives every pair to one worker only', () =>
      begun(
        Array.from({ length: 30 }, (_, k) => `s${k}`),
        async ({ one, two }) => {
          const taken: string[] = [];
          const work = async (store: SeriesStore, worker: string): Promise<void> => {
            for (let task = await store.claim(worker); task; task = await store.claim(worker)) taken.push(task.id);
          };
          await Promise.all([work(one, 'x'), work(two, 'y'), work(one, 'z')]);
          expect(taken).toHaveLength(30);
          expect(new Set(taken).size).toBe(30);
          expect(await one.counts()).toEqual({ waiting: 0, running: 30, measured: 0, notComparable: 0, failed: 0 });
        },
      ));

    it('hands over what is asked, whole', () =>
      begun(['a'], async ({ two }) => {
        expect(await two.claim('w')).toMatchObject({
          id: 'a/v1/v2',
          pair: pairOf('a'),
          ask: headOf().ask,
          attempt: 1,
          spec: expect.stringMatching(/^[0-9a-f]{64}$/),
        });
      }));

    it('gives back untried what a worker releases', () =>
      begun(['a', 'b'], async ({ one, two }) => {
        await one.claim('w');
        await one.claim('w');
        expect(await one.release('w')).toBe(2);
        expect(await two.claim('v')).toMatchObject({ attempt: 1 });
        expect(await one.release('w')).toBe(0);
      }));

    it('takes a pair back from a worker that fell silent, and lets one that beats keep it', () =>
      begun(['a'], async ({ one, two, lapse }) => {
        await one.claim('dead');
        expect(await two.claim('w')).toBeNull();
        await lapse();
        await two.reclaim();
        expect(await two.claim('w')).toMatchObject({ id: 'a/v1/v2', attempt: 2 });
        await two.renew('w');
        await two.reclaim();
        expect(await one.claim('v')).toBeNull();
      }));

    it('fails a pair that lost its worker too often, and no sooner', () =>
      begun(['a'], async ({ one, lapse }) => {
        for (let k = 1; k <= MOST_ATTEMPTS; k++) {
          expect((await one.claim('w'))?.attempt).toBe(k);
          await lapse();
          await one.reclaim();
        }
        expect(await one.claim('w')).toBeNull();
        expect(await one.pair('a/v1/v2')).toMatchObject({ state: 'failed', fault: { code: 'lost' } });
      }));

    it('tries again what a worker gives up, until it has been tried often enough', () =>
      begun(['a'], async ({ one, two }) => {
        for (let k = 1; k <= MOST_ATTEMPTS; k++) {
          const task = (await one.claim('w'))!;
          expect(task.attempt).toBe(k);
          expect(await two.giveUp(task, 'stranger', { code: 'thread-died', message: 'It died.' })).toBe(false);
          expect(await two.giveUp(task, 'w', { code: 'thread-died', message: 'It died.' })).toBe(true);
        }
        await one.reclaim();
        expect(await one.claim('w')).toBeNull();
        expect(await one.pair('a/v1/v2')).toMatchObject({ state: 'failed', fault: { code: 'thread-died' } });
        expect(await one.again(['a/v1/v2'])).toBe(1);
        expect(await two.claim('w')).toMatchObject({ attempt: 1 });
      }));
  });

  describe('law: exactly one answer', () => {
    it('keeps an answer with its comparison and inputs', () =>
      begun(['a'], async ({ one, two }) => {
        const task = (await one.claim('w'))!;
        const answer = answerOf(task.id);
        expect(await one.finish(task, answer)).toBe(true);
        const kept = (await two.pair(task.id))!;
        if (answer.state === 'failed') throw new Error('the sample has a comparison');
        expect(kept).toMatchObject({ state: 'measured', key: answer.key, inputs: answer.inputs, fault: null });
        expect(kept.comparison).toEqual(comparisonSchema.parse(answer.comparison));
        expect(await two.known(answer.key)).toEqual(kept.comparison);
        expect(await two.known('0'.repeat(64))).toBeNull();
        expect(await two.counts()).toMatchObject({ measured: 1, running: 0, waiting: 0 });
      }));

    it('takes the first answer and no other, though a lapsed worker comes back', () =>
      begun(['a'], async ({ one, two, lapse }) => {
        const late = (await one.claim('late'))!;
        await lapse();
        await two.reclaim();
        const task = (await two.claim('w'))!;
        expect(await one.finish(late, answerOf(late.id, 'not-comparable'))).toBe(true);
        expect(await two.finish(task, answerOf(task.id))).toBe(false);
        expect(await two.giveUp(task, 'w', { code: 'thread-died', message: 'It died.' })).toBe(false);
        expect(await one.claim('w')).toBeNull();
        expect(await two.counts()).toEqual({ waiting: 0, running: 0, measured: 0, notComparable: 1, failed: 0 });
      }));

    it('takes no answer to a question that has changed meanwhile', () =>
      begun(['a'], async ({ one, two }) => {
        const task = (await one.claim('w'))!;
        await two.begin(headOf(), [{ ...pairOf('a'), treatedOn: '2026-01-02' }]);
        expect(await one.finish(task, answerOf(task.id))).toBe(false);
        expect(await two.pair(task.id)).toMatchObject({ state: 'waiting', key: null });
        expect(await two.claim('w')).toMatchObject({ pair: { treatedOn: '2026-01-02' } });
      }));

    it('keeps a failure, and lists it', () =>
      begun(['a', 'b'], async ({ one, two }) => {
        const task = (await one.claim('w'))!;
        await one.finish(task, { state: 'failed', inputs: [], fault: { code: 'no-face', message: 'No face was found in x.jpg.' } });
        expect((await two.pairs({ state: 'failed' })).map(({ pair, fault }) => [pair.pair, fault?.code])).toEqual([[task.id, 'no-face']]);
      }));

    it('lets an answered pair wait again, its comparison still known', () =>
      begun(['a', 'b'], async ({ one, two }) => {
        const task = (await one.claim('w'))!;
        const answer = answerOf(task.id);
        await one.finish(task, answer);
        expect(await two.again([task.id, 'b/v1/v2'])).toBe(1);
        expect(await two.counts()).toMatchObject({ waiting: 2, measured: 0 });
        expect(answer.state !== 'failed' && (await two.known(answer.key))).toBeTruthy();
      }));
  });

  describe('law: pages', () => {
    it('go through all pairs once, in the order of their bytes', () =>
      begun(['b', 'a', 'é', 'Z', 'a-b', 'a b'], async ({ one }) => {
        const seen: string[] = [];
        for (let page = await one.pairs({ limit: 2 }); page.length > 0; page = await one.pairs({ limit: 2, after: seen.at(-1)! }))
          seen.push(...page.map(({ pair }) => pair.pair));
        const ids = ['b', 'a', 'é', 'Z', 'a-b', 'a b'].map((who) => `${who}/v1/v2`);
        expect(seen).toEqual(ids.sort((x, y) => Buffer.compare(Buffer.from(x), Buffer.from(y))));
      }));
  });
}
