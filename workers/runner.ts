/**
 * The job runner as a process: `node workers/runner.ts [--data DIR]`.
 * Ends in order on SIGTERM, SIGINT, or when the parent that forked it is gone. Its log has no names of people or files.
 */
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { pino } from 'pino';
import { defaultDataDir } from '#lib/record/data-dir.ts';
import { openRecord } from '#lib/record/open.ts';
import { unlockRecord } from '#lib/record/unlock.ts';
import { passphraseIn } from './commands/unlock.ts';
import { KEY_COMES, receiveKey } from './key-from-parent.ts';
import { runJobs } from './run-jobs.ts';
import { inProcess, runSeriesJobs } from './run-series-jobs.ts';

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const { values } = parseArgs({
    options: { data: { type: 'string' }, [KEY_COMES.slice(2)]: { type: 'boolean', default: false } },
  });
  const dataDir = values.data ?? defaultDataDir();
  const logger = pino(
    { name: 'runner', level: process.env.EBBLINE_LOG ?? 'warn', base: { pid: process.pid } },
    pino.destination({ dest: 2, sync: true }),
  );
  const file = process.env.EBBLINE_PASSPHRASE_FILE;
  const key = values[KEY_COMES.slice(2)]
    ? await receiveKey()
    : unlockRecord(dataDir, file ? { passphrase: await passphraseIn(file) } : {}).key;
  const record = openRecord({ dataDir, key });
  await record.sweep();
  const LOUD = new Set(['trouble', 'program-error', 'thread-died']);
  const log = (event: string, details: object): void => logger[LOUD.has(event) ? 'error' : 'info'](details, event);
  const runner = runJobs(record, { dataDir, key, log });
  const series = runSeriesJobs(record, { runner: runner.name, work: inProcess({ dataDir, key, runner: runner.name }), log });
  let ending = false;
  const end = async (): Promise<void> => {
    if (ending) return;
    ending = true;
    await series.stop();
    await runner.stop();
    await record.close();
    process.exit(0);
  };
  for (const signal of ['SIGTERM', 'SIGINT'] as const) process.once(signal, () => void end());
  process.once('disconnect', () => void end());
  process.send?.({ ready: true });
}
