/**
 * Opens the record on SQLite. The directory is the user's alone (0700), and every file in it too (0600).
 * Several processes may have it open at once. What shows or names a person is sealed; the vault is opened first.
 */
import { chmodSync, mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { openCaseBook } from './case-book.ts';
import { openComparisonShelf } from './comparison-shelf.ts';
import { defaultDataDir } from './data-dir.ts';
import { type Database, openDatabase } from './database.ts';
import { openJobDesk } from './job-desk.ts';
import { openJobQueue } from './job-queue.ts';
import { ago, now } from './now.ts';
import { type OpenVault, openVault, type VaultKey } from './open-vault.ts';
import { openPhotoShelf } from './photo-shelf.ts';
import { sealOldRecord } from './seal-old-record.ts';
import { openSeriesDesk } from './series-desk.ts';
import { openSeriesShelf } from './series-shelf.ts';
import { openSetUpShelf } from './set-up-shelf.ts';
import { sweepOrphans, sweepUnfinished } from './sweep.ts';
import type { RecordStore, SetUpShelf } from './types.ts';

/** A runner says that it lives every two seconds; three misses and it is taken for dead. */
export const HEARTBEAT_MS = 2_000;
export const SILENT_MS = 8_000;

/**
 * With a key file nothing need be brought; with a passphrase, the data key or the passphrase. Throws VaultError when the vault does not
 * open: then nothing was written.
 */
export function openRecord({ dataDir = defaultDataDir(), ...given }: { dataDir?: string } & VaultKey = {}): RecordStore {
  mkdirSync(dataDir, { recursive: true, mode: 0o700 });
  chmodSync(dataDir, 0o700);
  const db = openDatabase(join(dataDir, 'record.sqlite'));
  const { vault, notes } = vaultOf(db, dataDir, given);
  return {
    protection: vault.protection,
    notes,
    ...openPhotoShelf(db, dataDir, vault),
    ...openJobQueue(db, vault),
    ...openJobDesk(db, vault),
    ...openComparisonShelf(db, dataDir, vault),
    ...openSetUpShelf(db),
    ...openSeriesShelf(db, dataDir, vault),
    ...openSeriesDesk(db, vault),
    ...openCaseBook(db, dataDir, vault),
    firstTime: async (what) => db.run('INSERT INTO once (what, done_at) VALUES (?, ?) ON CONFLICT DO NOTHING', what, now()) > 0,
    sweep: async () => (await sweepUnfinished(dataDir)) + sweepOrphans(db, dataDir),
    runnerAlive: async () => db.get('SELECT 1 FROM runner WHERE heard_at >= ? LIMIT 1', ago(SILENT_MS)) !== undefined,
    close: async () => db.close(),
  };
}

function vaultOf(db: Database, dataDir: string, given: VaultKey): OpenVault {
  try {
    const opened = openVault(db, dataDir, given);
    sealOldRecord(db, dataDir, opened.vault);
    return opened;
  } catch (error) {
    db.close();
    throw error;
  }
}

/** The profiles of set-ups alone: nothing in them is sealed, so no key is needed. */
export function openSetUps(dataDir: string): SetUpShelf & { close: () => void } {
  const db = openDatabase(join(dataDir, 'record.sqlite'));
  return { ...openSetUpShelf(db), close: () => db.close() };
}

/** On the global object, because a development server loads this file anew at each change. */
const KEPT = Symbol.for('ebbline.record');
const KEY = Symbol.for('ebbline.record.key');
type Keeper = { [KEPT]?: RecordStore; [KEY]?: Uint8Array };

/** Tells this process, before it first asks for the shared record, which key opens it. */
export function shareKey(key: Uint8Array): void {
  (globalThis as Keeper)[KEY] = key;
}

/** The same record at every call in this process. */
export function sharedRecord(): RecordStore {
  const keeper = globalThis as Keeper;
  keeper[KEPT] ??= openRecord(keeper[KEY] ? { key: keeper[KEY] } : {});
  return keeper[KEPT];
}
