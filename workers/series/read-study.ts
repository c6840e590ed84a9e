/** The tables of a series folder gathered for statistics: small ones whole, `results.csv` as it streams, all of them hashed on the way. */
import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { parse } from 'csv-parse';
import { gatherStudy, type StudyData } from '#lib/series/study-data.ts';
import { type ResultReader, readPairs, readRatings, resultReader } from '#lib/series/study-tables.ts';
import { daySchema } from '#shared/job.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import type { StudyReport } from '#shared/study.ts';

export type StudyTables = Readonly<{
  data: StudyData;
  madeFrom: StudyReport['madeFrom'];
  /** The newest day of the series, as its crate says; null when it says none. */
  day: string | null;
}>;
export type ReadFault = 'no-tables' | 'unreadable' | 'not-a-table' | 'columns' | 'row';

export async function readStudy(dir: string): Promise<Outcome<StudyTables, ReadFault>> {
  const pairsText = await textOf(dir, 'pairs.csv');
  if (!pairsText.ok) return pairsText;
  const ratingsText = await textOf(dir, 'ratings.csv');
  if (!ratingsText.ok && ratingsText.why !== 'no-tables') return ratingsText;
  const pairs = readPairs(pairsText.value);
  if (!pairs.ok) return pairs;
  const ratings = ratingsText.ok ? readRatings(ratingsText.value) : found([]);
  if (!ratings.ok) return ratings;
  const gather = gatherStudy(pairs.value, ratings.value);

  const hash = createHash('sha256');
  const read = await eachResult(join(dir, 'results.csv'), hash, (reader, cells, row) => {
    const result = reader(cells, row);
    return result.ok ? gather.add(result.value, row) : result;
  });
  if (!read.ok) return read;
  return found({
    data: gather.done(),
    madeFrom: {
      resultsSha256: hash.digest('hex'),
      pairsSha256: sha256Of(pairsText.value),
      ratingsSha256: ratingsText.ok ? sha256Of(ratingsText.value) : null,
    },
    day: await dayOf(dir),
  });
}

type EachRow = (reader: ResultReader, cells: readonly string[], row: number) => Outcome<unknown, 'not-a-table' | 'columns' | 'row'>;

async function eachResult(path: string, hash: ReturnType<typeof createHash>, take: EachRow): Promise<Outcome<null, ReadFault>> {
  const parser = parse({ bom: true, skipEmptyLines: true });
  const file = createReadStream(path);
  file.on('data', (piece) => hash.update(piece));
  file.on('error', (error) => parser.destroy(error));
  file.pipe(parser);
  let reader: ResultReader | null = null;
  let row = 0;
  try {
    for await (const cells of parser as AsyncIterable<string[]>) {
      if (!reader) {
        const made = resultReader(cells);
        if (!made.ok) return made;
        reader = made.value;
        continue;
      }
      row++;
      const taken = take(reader, cells, row);
      if (!taken.ok) return taken;
    }
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? '';
    return code.startsWith('CSV_')
      ? refused('not-a-table', `results.csv is no CSV that can be read: ${(error as Error).message}.`)
      : unread('results.csv', error);
  } finally {
    file.destroy();
  }
  return reader ? found(null) : refused('not-a-table', 'results.csv is empty; it has not even a head.');
}

async function textOf(dir: string, name: string): Promise<Outcome<string, 'no-tables' | 'unreadable'>> {
  try {
    return found(await readFile(join(dir, name), 'utf8'));
  } catch (error) {
    return unread(name, error);
  }
}

function unread(name: string, error: unknown): ReturnType<typeof refused<'no-tables' | 'unreadable'>> {
  const { code } = error as NodeJS.ErrnoException;
  return code === 'ENOENT' || code === 'ENOTDIR'
    ? refused('no-tables', `There is no ${name} there. Name the folder that ebbline series run wrote.`)
    : refused('unreadable', `${name} cannot be read (${code ?? error}).`);
}

/** From the crate beside the tables; only a whole day will do. */
async function dayOf(dir: string): Promise<string | null> {
  try {
    const crate = JSON.parse(await readFile(join(dir, 'ro-crate-metadata.json'), 'utf8'));
    const root = crate['@graph'].find((one: Readonly<Record<string, unknown>>) => one['@id'] === './');
    const day = daySchema.safeParse(root?.datePublished);
    return day.success ? day.data : null;
  } catch {
    return null;
  }
}

const sha256Of = (text: string): string => createHash('sha256').update(text).digest('hex');
