/**
 * Opens the record on SQLite. The directory is the user's alone (0700), and every file in it too (0600).
 * Several processes may have it open at once.
 */
import { chmodSync, mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { openComparisonShelf } from './comparison-shelf.ts';
import { defaultDataDir } from './data-dir.ts';
import { openDatabase } from './database.ts';
import { openJobDesk } from './job-desk.ts';
import { openJobQueue } from './job-queue.ts';
import { ago, now } from './now.ts';
import { openPhotoShelf } from './photo-shelf.ts';
import { openSetUpShelf } from './set-up-shelf.ts';
import { sweepUnfinished } from './sweep.ts';
import type { RecordStore } from './types.ts';

/** A runner says that it lives every two seconds; three misses and it is taken for dead. */
export const HEARTBEAT_MS = 2_000;
export const SILENT_MS = 8_000;

export function openRecord({ dataDir = defaultDataDir() }: { dataDir?: string } = {}): RecordStore {
  mkdirSync(dataDir, { recursive: true, mode: 0o700 });
  chmodSync(dataDir, 0o700);
  const db = openDatabase(join(dataDir, 'record.sqlite'));
  return {
    ...openPhotoShelf(db, dataDir),
    ...openJobQueue(db),
    ...openJobDesk(db),
    ...openComparisonShelf(db, dataDir),
    ...openSetUpShelf(db),
    firstTime: async (what) => db.run('INSERT INTO once (what, done_at) VALUES (?, ?) ON CONFLICT DO NOTHING', what, now()) > 0,
    sweep: async () => sweepUnfinished(dataDir),
    runnerAlive: async () => db.get('SELECT 1 FROM runner WHERE heard_at >= ? LIMIT 1', ago(SILENT_MS)) !== undefined,
    close: async () => db.close(),
  };
}

/** On the global object, because a development server loads this file anew at each change. */
const KEPT = Symbol.for('ebbline.record');
type Keeper = { [KEPT]?: RecordStore };

/** The same record at every call in this process. */
export function sharedRecord(): RecordStore {
  const keeper = globalThis as Keeper;
  keeper[KEPT] ??= openRecord();
  return keeper[KEPT];
}
