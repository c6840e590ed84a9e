/** The answered pairs of a store, one after the other in the order of their ids, so that no series is ever whole in memory. */
import type { SeriesStore } from '#lib/record/series/types.ts';
import type { AnsweredPair } from '#lib/series/answered-pair.ts';

const PAGE = 500;

type Store = Pick<SeriesStore, 'pair' | 'pairs'>;

/** `codeOf`: in the order of codes instead, since the order of names would say something of them; then all ids are held at once. */
export async function* answeredPairs(store: Store, codeOf?: (id: string) => string): AsyncGenerator<AnsweredPair> {
  for await (const id of codeOf ? inOrderOf(ids(store), codeOf) : ids(store)) {
    const stored = await store.pair(id);
    if (stored && stored.state !== 'waiting' && stored.state !== 'running') yield { ...stored, state: stored.state };
  }
}

async function* ids(store: Store): AsyncGenerator<string> {
  for (let after: string | undefined = ''; after !== undefined; ) {
    const page = await store.pairs({ after, limit: PAGE });
    for (const { pair, state } of page) if (state !== 'waiting' && state !== 'running') yield pair.pair;
    after = page.at(-1)?.pair.pair;
  }
}

async function* inOrderOf(all: AsyncIterable<string>, codeOf: (id: string) => string): AsyncGenerator<string> {
  const coded: [string, string][] = [];
  for await (const id of all) coded.push([codeOf(id), id]);
  coded.sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0));
  for (const [, id] of coded) yield id;
}
