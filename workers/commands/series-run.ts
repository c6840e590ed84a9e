/** `ebbline series run`: measures the pairs of a manifest, and writes the tables. */
import { existsSync } from 'node:fs';
import { mkdir, readdir } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import type { SeriesHead, SeriesStore } from '#lib/record/series/types.ts';
import { manifestWords } from '#lib/series/manifest-words.ts';
import { openPhotographs, openStore } from '#workers/series/open-place.ts';
import { runSeries } from '#workers/series/run-series.ts';
import type { PhotoPlace, SeriesStart, StorePlace } from '#workers/series/series-messages.ts';
import { changedPairs, failedPairs } from '#workers/series/what-again.ts';
import { CRATE_FILE, PACKAGE_FILE, PARQUET_FILE, writeTables } from '#workers/series/write-tables.ts';
import { type Given, readArguments } from './arguments.ts';
import { type Command, EXIT, type ExitCode, UsageError, type World } from './command.ts';
import { showProgress } from './progress.ts';
import { manifestNamed, type NamedManifest } from './read-manifest.ts';
import { makePace } from './series-pace.ts';
import { nameValue, queueValue, SERIES_FILE, withStore, workersValue } from './series-place.ts';
import { setUpValue } from './set-up-value.ts';
import { withStopSignals } from './stop-signals.ts';
import { scaleValue } from './values.ts';

const help = `ebbline series run - measure the pairs of a manifest, here or on many machines

  ebbline series run MANIFEST --out DIR [options]

Each follow-up is compared with its subject's baseline, each repeat with the visit that it repeats. Writes results.csv (one row for
each pair, zone and metric) and the same as Parquet, pairs.csv, ratings.csv, failures.csv, inputs.csv, datapackage.json (what each
column means) and ro-crate-metadata.json (where all of it comes from). The same photographs and options give the same bytes.

  --out DIR            where the series is kept (series.sqlite) and its tables are written
  --workers N          pairs at the same time; 2 as usual, or 0 with --queue. Each takes up to 900 MB of memory
  --resume             goes on with the series in DIR: what was answered stays, unless its row, its photographs or the options changed
  --retry-failed       with --resume: measures pairs that failed once more
  --scale SCALE        iris (as usual), pupils:63.5 (mm between the pupils) or marker:20 (mm of a marker's side)
  --set-up NAME|FILE   takes the error limits from this profile of your own set-up; ebbline repeat makes one
  --data DIR           the record that keeps profiles; as usual EBBLINE_HOME or ~/.local/share/ebbline
  --plates             writes the pictures and the report of each pair, too, into DIR/plates; slower, and they show faces
  --photos PLACE       where photographs lie, when not beside the manifest: a folder, or s3://bucket/prefix
  --queue URL          lets other machines measure: postgres://user@host/database, or env for EBBLINE_QUEUE; see docs/scale.md
  --name NAME          with --queue: what the series is called there

Ctrl-C stops it at any moment, and --resume goes on; a crash loses no answer either.
Exit codes: 0 done, 2 wrong usage, 3 no pair could be compared, 4 no manifest, or none that leaves a pair, 5 stopped before the end.

Examples
  ebbline series run study/manifest.csv --out results
  ebbline series run study/manifest.csv --out results --resume --workers 4 --set-up "Room 2"
  ebbline series run study/manifest.csv --out results --queue env --name study-1     with ebbline work on each machine
`;

/** What may lie in DIR beside nothing. */
const OWN = new RegExp(
  `^(${SERIES_FILE}(-wal|-shm)?|plates|[a-z]+\\.csv|${[PARQUET_FILE, PACKAGE_FILE, CRATE_FILE].join('|').replaceAll('.', '\\.')}|deidentify\\.key|report.*|study.*|\\..*)$`,
);

export const seriesRun: Command = {
  name: 'series run',
  summary: 'measure the pairs of a manifest',
  help,
  run: async (args, world) => {
    const given = readArguments(args, {
      out: 'one',
      workers: 'one',
      resume: 'none',
      'retry-failed': 'none',
      scale: 'one',
      'set-up': 'one',
      data: 'one',
      plates: 'none',
      photos: 'one',
      queue: 'one',
      name: 'one',
    });
    const [path, stray] = given.words;
    if (path === undefined) throw new UsageError('Name the manifest. ebbline series init proposes one.');
    if (stray !== undefined) throw new UsageError(`"${stray}" belongs to no option.`);
    const out = given.one('out');
    if (out === undefined) throw new UsageError('Say where the series is kept with --out DIR.');
    if (given.has('retry-failed') && !given.has('resume')) throw new UsageError('--retry-failed goes with --resume.');
    const url = queueValue(given, world.env);
    if (url === null && given.has('name')) throw new UsageError('--name goes with --queue.');
    if (url !== null && given.has('plates')) throw new UsageError('--plates writes to this machine, so it does not go with --queue.');
    const workers = workersValue(given.one('workers') ?? (url === null ? '2' : '0'), url === null ? 1 : 0);
    const ask = {
      scale: given.has('scale') ? scaleValue(given.one('scale')!) : null,
      setUp: given.has('set-up') ? await setUpValue(given.one('set-up')!, given.one('data'), world.env) : null,
    };
    const place: StorePlace =
      url === null ? { kind: 'sqlite', file: join(out, SERIES_FILE) } : { kind: 'postgres', url, series: nameValue(given) };
    await checkOut(out, place, given);

    const photos = given.one('photos') ?? null;
    const named = await manifestNamed(path, world, { looked: photos === null });
    if (!named.read) return named.exit;
    const start: SeriesStart = {
      store: place,
      photographs: photos ?? named.read.folder,
      plates: given.has('plates') ? join(resolve(out), 'plates') : null,
    };
    await checkPhotographs(start.photographs, world);
    await mkdir(out, { recursive: true });
    return withStore(openStore(place), (store) => run(store, named.read!, { start, workers, out, ask, given }, world));
  },
};

type Plan = Readonly<{ start: SeriesStart; workers: number; out: string; ask: SeriesHead['ask']; given: Given }>;

async function run(store: SeriesStore, named: NamedManifest, { start, workers, out, ask, given }: Plan, world: World): Promise<ExitCode> {
  const { manifest, name, sha256 } = named;
  const former = await store.head();
  if (former && !given.has('resume'))
    throw new UsageError('A series of this name is in the queue already. Go on with it by --resume, or give another --name.');
  const head: SeriesHead = { ask, manifestName: name, manifestSha256: sha256, ratings: manifest.ratings, leftOut: manifest.faults };
  const did = await store.begin(head, manifest.pairs);
  let again = 0;
  if (former) {
    again += await store.again(await changedPairs(store, await openPhotographs(start.photographs, world.env)));
    if (given.has('retry-failed')) again += await store.again(await failedPairs(store));
  }
  world.err(`${manifestWords(manifest)}.${former ? ` ${resumed({ ...did, again })}` : ''}\n`);

  const progress = showProgress(world.err, world);
  const pace = makePace();
  let told = Number.NEGATIVE_INFINITY;
  const counts = await withStopSignals((signal) =>
    runSeries(store, {
      start,
      workers,
      untilDone: true,
      signal,
      // Counting ten million rows takes a while.
      countMs: manifest.pairs.length > 50_000 ? 10_000 : 1000,
      onCounts: (now) => {
        const { words, fraction } = pace.look(now);
        // In a pipe every new text is a line of its own.
        if (!world.terminal && performance.now() - told < 10_000 && fraction < 1) return;
        told = performance.now();
        progress.step(words, fraction);
      },
      log: (event, details) => {
        if (world.env.EBBLINE_LOG === 'debug') world.err(`${JSON.stringify({ event, ...details })}\n`);
      },
    }),
  );
  progress.end();
  const done = counts.measured + counts.notComparable + counts.failed;
  const open = counts.waiting + counts.running;
  if (open > 0) {
    world.err(`Stopped: ${done} of ${done + open} pairs are answered and kept. Go on with the same command and --resume.\n`);
    return EXIT.unfinished;
  }
  await writeTables(store, head, out);
  world.out(
    `${counts.measured} pairs measured, ${counts.notComparable} not comparable, ${counts.failed} failed` +
      `${manifest.faults.length > 0 ? `, ${manifest.faults.length} remarks on the manifest` : ''}. Written to ${out}: results.csv, ${PARQUET_FILE}, ` +
      `pairs.csv, ratings.csv, failures.csv, inputs.csv, ${PACKAGE_FILE}, ${CRATE_FILE}.\n`,
  );
  return counts.measured > 0 ? EXIT.done : EXIT.notComparable;
}

function resumed({ added, changed, gone, again }: Readonly<{ added: number; changed: number; gone: number; again: number }>): string {
  const parts = [
    ...(added > 0 ? [`${added} new`] : []),
    ...(changed > 0 ? [`${changed} asked otherwise than before`] : []),
    ...(gone > 0 ? [`${gone} no longer asked for`] : []),
    ...(again > 0 ? [`${again} again`] : []),
  ];
  return parts.length > 0 ? `Of these: ${parts.join(', ')}.` : 'All as before.';
}

/** A series is never begun over another one, nor among files that are not its own. */
async function checkOut(out: string, place: StorePlace, given: Given): Promise<void> {
  const names = await readdir(out).catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return [];
    throw new UsageError(`--out ${out} is no folder that can be looked into (${error.code}).`);
  });
  const strange = names.find((name) => !OWN.test(name));
  if (strange !== undefined)
    throw new UsageError(`--out ${out} holds ${strange}, which is not of a series, so nothing is written there. Name a new folder.`);
  if (place.kind === 'sqlite' && existsSync(place.file) && !given.has('resume'))
    throw new UsageError(`--out ${out} holds a series already. Go on with it by --resume, or name a new folder.`);
}

async function checkPhotographs(place: PhotoPlace, world: World): Promise<void> {
  try {
    await openPhotographs(place, world.env);
  } catch (error) {
    if (error instanceof RangeError) throw new UsageError(error.message);
    throw error;
  }
}
