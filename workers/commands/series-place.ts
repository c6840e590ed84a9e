/** Where a series is, in the user's words: a folder with its SQLite file, or a queue with a name. */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { StorePlace } from '#workers/series/series-messages.ts';
import type { Given } from './arguments.ts';
import { UsageError, type World } from './command.ts';

export const SERIES_FILE = 'series.sqlite';
const LONGEST_NAME = 80;

/** `--queue env` takes the address from EBBLINE_QUEUE, so that a password need not stand on a command line. Null without --queue. */
export function queueValue(given: Given, env: World['env']): string | null {
  const asked = given.one('queue');
  if (asked === undefined) return null;
  const address = asked === 'env' ? env.EBBLINE_QUEUE : asked;
  if (!address) throw new UsageError('EBBLINE_QUEUE is not set, though --queue env asks for it.');
  if (!/^postgres(ql)?:\/\//.test(address))
    throw new UsageError('--queue needs the address of a PostgreSQL database: postgres://user@host/database.');
  return address;
}

export function nameValue(given: Given): string {
  const name = given.one('name')?.trim();
  if (!name || name.length > LONGEST_NAME)
    throw new UsageError(`With --queue a series needs a name of 1 to ${LONGEST_NAME} characters. Give it with --name.`);
  return name;
}

/** Of a series that has been begun. Throws UsageError when there is none. */
export function existingPlace(given: Given, env: World['env']): StorePlace {
  const url = queueValue(given, env);
  if (url !== null) return { kind: 'postgres', url, series: nameValue(given) };
  const [dir, stray] = given.words;
  if (dir === undefined) throw new UsageError('Name the folder of the series, or its queue with --queue and --name.');
  if (stray !== undefined) throw new UsageError(`"${stray}" belongs to no option.`);
  const file = join(dir, SERIES_FILE);
  if (!existsSync(file)) throw new UsageError(`${dir} holds no series (${SERIES_FILE}). ebbline series run makes one.`);
  return { kind: 'sqlite', file };
}

export function workersValue(text: string, least = 1): number {
  const workers = Number(text);
  if (!Number.isInteger(workers) || workers < least || workers > 256)
    throw new UsageError(`--workers needs a whole number from ${least} to 256, got "${text}".`);
  return workers;
}

/** Works with `store`, and closes it whatever happens. A database that cannot be reached is the user's to put right. */
export async function withStore<Store extends { close: () => Promise<void> }, T>(
  opening: Promise<Store>,
  work: (store: Store) => Promise<T>,
): Promise<T> {
  const store = await opening.catch((error: NodeJS.ErrnoException) => {
    const cause = error instanceof AggregateError ? (error.errors[0] as NodeJS.ErrnoException) : error;
    if (cause.code === undefined) throw error;
    throw new UsageError(
      `The queue cannot be opened (${cause.code}: ${cause.message || 'no answer'}). Check its address, and that it runs.`,
    );
  });
  try {
    return await work(store);
  } finally {
    await store.close();
  }
}
