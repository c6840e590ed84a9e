/** Where a series of the record lies: series/<id>/, the user's alone, with its answers, its tables, and what was made of them. */
import { createReadStream } from 'node:fs';
import { readdir, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { idSchema } from '#shared/job.ts';
import { SERIES_SETS, type SeriesFile, type SeriesSet } from './series-types.ts';

export const SERIES_FILE = 'series.sqlite';

const TABLES = /^((results|pairs|ratings|failures|inputs)\.csv|results\.parquet|(datapackage|ro-crate-metadata)\.json)$/;
const NAMES: Readonly<Record<SeriesSet, RegExp>> = { tables: TABLES, study: /^study\.(html|pdf|json)$/, deidentified: TABLES };

/** Throws when `id` is none, so that no path can be smuggled in. */
export const seriesDir = (dataDir: string, id: string): string => join(dataDir, 'series', idSchema.parse(id));

/** Tables lie in the folder itself, where `ebbline series` looks for them too. */
export const seriesSetDir = (dataDir: string, id: string, set: SeriesSet): string =>
  set === 'tables' ? seriesDir(dataDir, id) : join(seriesDir(dataDir, id), set);

const isSet = (set: string): set is SeriesSet => (SERIES_SETS as readonly string[]).includes(set);

/** What may be taken away, by its set and name. */
export async function filesOfSeries(dataDir: string, id: string): Promise<SeriesFile[]> {
  const files: SeriesFile[] = [];
  for (const set of SERIES_SETS) {
    const dir = seriesSetDir(dataDir, id, set);
    for (const name of (await readdir(dir).catch(() => [])).filter((one) => NAMES[set].test(one)).sort()) {
      const facts = await stat(join(dir, name)).catch(() => null);
      if (facts) files.push({ set, name, bytes: facts.size, writtenAt: facts.mtime.toISOString() });
    }
  }
  return files;
}

/** Null for every name that is none of a series' files, and for those that are not there. Tables may be larger than memory. */
export async function openFileOfSeries(
  dataDir: string,
  id: string,
  set: string,
  name: string,
): Promise<Readonly<{ bytes: number; stream: ReadableStream<Uint8Array> }> | null> {
  if (!idSchema.safeParse(id).success || !isSet(set) || !NAMES[set].test(name)) return null;
  const path = join(seriesSetDir(dataDir, id, set), name);
  const facts = await stat(path).catch(() => null);
  if (!facts?.isFile()) return null;
  return { bytes: facts.size, stream: Readable.toWeb(createReadStream(path)) as unknown as ReadableStream<Uint8Array> };
}
