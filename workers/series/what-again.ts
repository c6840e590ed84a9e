/** Which answered pairs are asked anew when a series goes on: those whose photographs changed, and, when wished, those that failed. */
import type { Photographs } from '#lib/record/series/photographs.ts';
import type { SeriesStore, StoredPair } from '#lib/record/series/types.ts';

const PAGE = 1000;

async function* allPairs(store: Pick<SeriesStore, 'pairs'>, state?: StoredPair['state']): AsyncGenerator<StoredPair> {
  for (let after: string | undefined = ''; after !== undefined; ) {
    const page: readonly StoredPair[] = await store.pairs({ after, limit: PAGE, ...(state ? { state } : {}) });
    yield* page;
    after = page.at(-1)?.pair.pair;
  }
}

/**
 * By a look at each file, without reading it. A file that only looks changed costs a reading: its comparison is then found again by
 * the photographs' hashes.
 */
export async function changedPairs(store: Pick<SeriesStore, 'pairs'>, photographs: Photographs): Promise<string[]> {
  const changed: string[] = [];
  for (const state of ['measured', 'not-comparable'] as const)
    for await (const { pair, inputs } of allPairs(store, state))
      for (const { file, stamp } of inputs)
        if (stamp !== null && stamp !== (await photographs.stamp(file))) {
          changed.push(pair.pair);
          break;
        }
  return changed;
}

export async function failedPairs(store: Pick<SeriesStore, 'pairs'>): Promise<string[]> {
  const failed: string[] = [];
  for await (const { pair } of allPairs(store, 'failed')) failed.push(pair.pair);
  return failed;
}
