/**
 * The tables of a series, from its store to a folder: CSV, Parquet, dictionary and crate. Rows go by the pairs' ids, and nothing is
 * asked of the clock, so the same answers give the same bytes in whatever order they came.
 */
import { mkdir, rename, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { fileWriter } from 'hyparquet-writer';
import { sha256Of } from '#lib/record/series/pack.ts';
import type { SeriesHead, SeriesStore } from '#lib/record/series/types.ts';
import { type AnsweredPair, dayOf } from '#lib/series/answered-pair.ts';
import { dataPackage } from '#lib/series/data-package.ts';
import type { Deidentifier } from '#lib/series/deidentify.ts';
import { failureRows, leftOutRow } from '#lib/series/failure-rows.ts';
import { inputRows } from '#lib/series/input-rows.ts';
import { pairRow } from '#lib/series/pair-row.ts';
import { type CrateFile, roCrate } from '#lib/series/ro-crate.ts';
import { FAILURES, INPUTS, PAIRS, RATINGS, RESULTS, type Table } from '#lib/series/table-fields.ts';
import { parquetTable } from '#lib/series/table-parquet.ts';
import { tableHead, tableLines } from '#lib/series/table-text.ts';
import { tidyRows } from '#lib/series/tidy-rows.ts';
import type { RatingRow } from '#shared/series.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import { answeredPairs } from './answered-pairs.ts';
import { parametersOf } from './series-parameters.ts';
import { softwareFacts } from './software-facts.ts';
import { type FileFacts, factsOfFile, openTextFile, type TextFile, unfinishedBeside } from './text-file.ts';

export const PARQUET_FILE = 'results.parquet';
export const PACKAGE_FILE = 'datapackage.json';
export const CRATE_FILE = 'ro-crate-metadata.json';

export type TablesOptions = Readonly<{
  /** Without anything that leads back to a person; `inputs.csv` and the manifest then stay behind. */
  deidentifier?: Deidentifier | undefined;
  onPair?: (done: number) => void;
}>;

/** How many pairs the tables hold. */
export async function writeTables(store: SeriesStore, head: SeriesHead, dir: string, options: TablesOptions = {}): Promise<number> {
  const { deidentifier: code, onPair } = options;
  await mkdir(dir, { recursive: true });
  const files = new Map<string, TextFile>();
  const parquetPath = join(dir, PARQUET_FILE);
  const unfinishedParquet = unfinishedBeside(parquetPath);
  try {
    const begin = async <Row>(table: Table<Row>): Promise<(rows: readonly Row[]) => Promise<void>> => {
      const file = await openTextFile(join(dir, `${table.name}.csv`));
      files.set(table.name, file);
      await file.add(tableHead(table));
      return (rows) => file.add(tableLines(table, rows));
    };
    const results = await begin(RESULTS);
    const pairs = await begin(PAIRS);
    const ratings = await begin(RATINGS);
    const failures = await begin(FAILURES);
    const inputs = code ? null : await begin(INPUTS);
    const parquet = parquetTable(RESULTS, fileWriter(unfinishedParquet));

    const seen = newest();
    let done = 0;
    await failures(head.leftOut.map(leftOutRow).map((row) => code?.failure(row) ?? row));
    for await (const answered of answeredPairs(store, code?.pairCode)) {
      const tidy = tidyRows(answered).map((row) => code?.tidy(row) ?? row);
      await results(tidy);
      parquet.add(tidy);
      const row = pairRow(answered, sha256Of);
      await pairs([code?.pair(row) ?? row]);
      await failures(failureRows(answered).map((one) => code?.failure(one) ?? one));
      await inputs?.(inputRows(answered));
      seen.look(answered);
      onPair?.(++done);
    }
    await ratings(head.ratings.map((row) => code?.rating(row) ?? row).sort(byRater));
    parquet.end();
    await rename(unfinishedParquet, parquetPath);
    await describe(dir, head, files, seen, code !== undefined);
    return done;
  } catch (error) {
    for (const file of files.values()) await file.drop();
    await rm(unfinishedParquet, { force: true });
    throw error;
  }
}

/** The newest day that photographs, treatments and manifest know of, and the models that measured. */
function newest() {
  let day: string | null = null;
  const models: Record<string, string> = {};
  return {
    look: (answered: AnsweredPair): void => {
      for (const one of [dayOf(answered, 'before'), dayOf(answered, 'after'), answered.pair.treatedOn])
        if (one !== null && (day === null || one > day)) day = one;
      Object.assign(models, answered.comparison?.versions.models);
    },
    day: (): string | null => day,
    models: (): Readonly<Record<string, string>> => models,
  };
}

/** Dictionary and crate, over the files as they came to lie. */
async function describe(
  dir: string,
  head: SeriesHead,
  files: ReadonlyMap<string, TextFile>,
  seen: ReturnType<typeof newest>,
  deidentified: boolean,
): Promise<void> {
  const tables = [RESULTS, PAIRS, RATINGS, FAILURES, ...(deidentified ? [] : [INPUTS])] as unknown as Table<never>[];
  const written = [];
  for (const table of tables) written.push({ table, file: `${table.name}.csv`, ...(await files.get(table.name)!.end()) });
  const dictionary = await textFile(dir, PACKAGE_FILE, dataPackage(written, EBBLINE_VERSION));
  const parts: CrateFile[] = [
    ...written.map(({ table, file, bytes, sha256 }) => ({ file, about: table.title, mediaType: 'text/csv', bytes, sha256 })),
    {
      file: PARQUET_FILE,
      about: `${RESULTS.title}, as Parquet`,
      mediaType: 'application/vnd.apache.parquet',
      ...(await factsOfFile(join(dir, PARQUET_FILE))),
    },
    { file: PACKAGE_FILE, about: 'What every column of the tables means', mediaType: 'application/json', ...dictionary },
  ];
  const day = seen.day();
  await textFile(
    dir,
    CRATE_FILE,
    roCrate({
      title: 'A series of comparisons of photographs of faces',
      about: deidentified
        ? 'Changes between photographs of faces, by zone and metric, with their errors. Without anything that leads back to a person.'
        : 'Changes between photographs of faces, by zone and metric, with their errors.',
      // A day could be looked up in somebody's diary; a year could not.
      published: deidentified && day !== null ? day.slice(0, 4) : day,
      tables: parts,
      manifest: deidentified ? null : { name: head.manifestName, sha256: head.manifestSha256 },
      software: softwareFacts(seen.models()),
      parameters: parametersOf(head.ask, deidentified),
    }),
  );
}

async function textFile(dir: string, name: string, content: unknown): Promise<FileFacts> {
  const file = await openTextFile(join(dir, name));
  await file.add(`${JSON.stringify(content, null, 2)}\n`);
  return file.end();
}

function byRater(a: RatingRow, b: RatingRow): number {
  const words = (row: RatingRow): readonly string[] => [row.pair, row.rater, row.zone ?? ''];
  const [one, other] = [words(a), words(b)];
  const at = one.findIndex((word, k) => word !== other[k]);
  return at < 0 ? 0 : one[at]! < other[at]! ? -1 : 1;
}
