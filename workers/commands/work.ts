/** `ebbline work`: measures pairs of series that other machines put into a queue. */
import { stat } from 'node:fs/promises';
import { resolve } from 'node:path';
import { openPhotographs, openStore } from '#workers/series/open-place.ts';
import { runSeries } from '#workers/series/run-series.ts';
import type { StorePlace } from '#workers/series/series-messages.ts';
import { noWords, readArguments } from './arguments.ts';
import { type Command, EXIT, UsageError } from './command.ts';
import { showProgress } from './progress.ts';
import { makePace } from './series-pace.ts';
import { queueValue, withStore, workersValue } from './series-place.ts';
import { withStopSignals } from './stop-signals.ts';

const help = `ebbline work - measure pairs that are waiting in a queue

  ebbline work --queue URL [--photos PLACE] [--workers N] [--until-done]

Run it on as many machines as you like; see docs/scale.md. A machine may be stopped or lost at any time: its pairs are measured by
others, and each pair is answered once.

  --queue URL      postgres://user@host/database; env takes it from EBBLINE_QUEUE
  --photos PLACE   where the photographs of the manifest lie: a folder (a share that is mounted here), or s3://bucket/prefix, with
                   EBBLINE_S3_ENDPOINT, EBBLINE_S3_KEY, EBBLINE_S3_SECRET and, where needed, EBBLINE_S3_REGION and EBBLINE_S3_TOKEN;
                   the present folder as usual
  --workers N      pairs at the same time; 2 as usual. Each takes up to 900 MB of memory
  --until-done     ends when no pair waits or runs; otherwise it waits for more

Exit codes: 0 done or stopped, 2 wrong usage.

Examples
  EBBLINE_QUEUE=postgres://ebbline@db/ebbline ebbline work --queue env --photos /mnt/study
  ebbline work --queue env --photos s3://study/2026 --workers 8 --until-done
`;

export const work: Command = {
  name: 'work',
  summary: 'measure pairs that wait in a queue',
  help,
  run: async (args, world) => {
    const given = readArguments(args, { queue: 'one', photos: 'one', workers: 'one', 'until-done': 'none' });
    noWords(given);
    const url = queueValue(given, world.env);
    if (url === null) throw new UsageError('Name the queue with --queue.');
    const workers = workersValue(given.one('workers') ?? '2');
    const photographs = await photosValue(given.one('photos') ?? '.', world.env);
    const place: StorePlace = { kind: 'postgres', url, series: '' };
    return withStore(openStore(place), async (store) => {
      const progress = showProgress(world.err, world);
      const pace = makePace();
      let told = Number.NEGATIVE_INFINITY;
      await withStopSignals((signal) =>
        runSeries(store, {
          start: { store: place, photographs, plates: null },
          workers,
          untilDone: given.has('until-done'),
          signal,
          countMs: 10_000,
          onCounts: (counts) => {
            if (!world.terminal && performance.now() - told < 60_000) return;
            told = performance.now();
            const { words, fraction } = pace.look(counts);
            progress.step(words, fraction);
          },
          log: (event, details) => {
            if (event === 'thread-died' || world.env.EBBLINE_LOG === 'debug') world.err(`${JSON.stringify({ event, ...details })}\n`);
          },
        }),
      );
      progress.end();
      return EXIT.done;
    });
  },
};

async function photosValue(place: string, env: Readonly<Record<string, string | undefined>>): Promise<string> {
  if (!place.startsWith('s3:')) {
    const there = await stat(place).then(
      (facts) => facts.isDirectory(),
      () => false,
    );
    if (!there) throw new UsageError(`--photos ${place} is no folder. Mount it, or name a store as s3://bucket/prefix.`);
    return resolve(place);
  }
  try {
    await openPhotographs(place, env);
    return place;
  } catch (error) {
    if (error instanceof RangeError) throw new UsageError(error.message);
    throw error;
  }
}
