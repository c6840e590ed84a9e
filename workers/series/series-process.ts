/**
 * The process that works on one series of the record; the job runner starts it, so that a long series neither holds up comparisons nor
 * shares their memory: `node workers/series/series-process.ts --data DIR --series ID --runner NAME`.
 *
 * Ends in order on SIGTERM or when the runner is gone: what is answered is kept, what is in hand is given back.
 */
import { constants, setPriority } from 'node:os';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { pino } from 'pino';
import { openRecord } from '#lib/record/open.ts';
import { KEY_COMES, receiveKey } from '#workers/key-from-parent.ts';
import { seriesWork } from './series-work.ts';

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const { values } = parseArgs({
    options: {
      data: { type: 'string' },
      series: { type: 'string' },
      runner: { type: 'string' },
      [KEY_COMES.slice(2)]: { type: 'boolean', default: false },
    },
  });
  const { data: dataDir, series: id, runner } = values as Record<string, string | undefined>;
  if (!dataDir || !id || !runner) throw new RangeError('--data, --series and --runner are needed');
  const logger = pino(
    { name: 'series', level: process.env.EBBLINE_LOG ?? 'warn', base: { pid: process.pid } },
    pino.destination({ dest: 2, sync: true }),
  );
  // A single comparison that somebody waits for goes first.
  setPriority(constants.priority.PRIORITY_BELOW_NORMAL);
  const ending = new AbortController();
  for (const signal of ['SIGTERM', 'SIGINT'] as const) process.once(signal, () => ending.abort());
  process.once('disconnect', () => ending.abort());
  const key = values[KEY_COMES.slice(2)] ? await receiveKey() : undefined;
  const record = openRecord({ dataDir, ...(key ? { key } : {}) });
  const series = await record.series(id);
  if (series)
    await seriesWork(
      {
        record,
        runner,
        dataDir,
        key,
        ending: ending.signal,
        log: (event, details) => logger[event === 'program-error' ? 'error' : 'info'](details, event),
      },
      series,
    );
  await record.close();
  process.exit(0);
}
