/** Failures of a series counted by their reason, with one of each as an example. */
import type { SeriesStore } from '#lib/record/series/types.ts';

export type Tally = Readonly<{ code: string; pairs: number; example: Readonly<{ pair: string; message: string }> }>;

const PAGE = 1000;

/** The commonest first. */
export async function failureTally(store: Pick<SeriesStore, 'pairs'>): Promise<Tally[]> {
  const found = new Map<string, Tally>();
  for (let after: string | undefined = ''; after !== undefined; ) {
    const page: Awaited<ReturnType<SeriesStore['pairs']>> = await store.pairs({ after, limit: PAGE, state: 'failed' });
    for (const { pair, fault } of page) {
      if (!fault) continue;
      const known = found.get(fault.code);
      const example = known?.example ?? { pair: pair.pair, message: fault.message };
      found.set(fault.code, { code: fault.code, pairs: (known?.pairs ?? 0) + 1, example });
    }
    after = page.at(-1)?.pair.pair;
  }
  return [...found.values()].sort((a, b) => b.pairs - a.pairs || (a.code < b.code ? -1 : 1));
}
