/**
 * The SQLite file: opened for several processes at once, and brought to the present tables.
 * Write-ahead logging lets pages read while the runner writes; a writer waits for another one for up to ten seconds.
 */
import { chmodSync, closeSync, mkdirSync, openSync } from 'node:fs';
import { dirname } from 'node:path';
import { DatabaseSync, type SQLInputValue, type StatementSync } from 'node:sqlite';
import { MIGRATIONS } from './migrations.ts';

const BUSY_MS = 10_000;

export type Row = Readonly<Record<string, string | number | null>>;

export type Database = Readonly<{
  run: (sql: string, ...values: SQLInputValue[]) => number;
  get: (sql: string, ...values: SQLInputValue[]) => Row | undefined;
  all: (sql: string, ...values: SQLInputValue[]) => Row[];
  /**
   * Runs `work` whole or not at all. It takes the write lock at its start, so that what it reads cannot change under it.
   * `durable`: on the disk before it returns, so that not even a cut of power takes it back.
   */
  transaction: <T>(work: () => T, how?: { durable?: boolean }) => T;
  /** Has `work` done once the present transaction is whole, and not at all when it is taken back. To be called inside one. */
  afterCommit: (work: () => void) => void;
  /** Overwrites what was deleted in the log too, as far as no reader holds it. */
  settle: () => void;
  /** Copies the tables as they are now into a file that does not exist yet; also while a transaction of this one holds the lock. */
  snapshot: (path: string) => void;
  close: () => void;
}>;

/** `migrations` are the tables' steps; the record's as usual. Throws when the file is no database, or one from a later version. */
export function openDatabase(file: string, migrations: readonly string[] = MIGRATIONS): Database {
  mkdirSync(dirname(file), { recursive: true, mode: 0o700 });
  // Created here first, because the log files take the permissions of the database file.
  closeSync(openSync(file, 'a', 0o600));
  chmodSync(file, 0o600);
  const db = new DatabaseSync(file, { timeout: BUSY_MS, enableForeignKeyConstraints: true });
  // What is deleted is overwritten with zeros, not only forgotten.
  db.exec('PRAGMA journal_mode = WAL; PRAGMA synchronous = NORMAL; PRAGMA secure_delete = ON;');

  const prepared = new Map<string, StatementSync>();
  const statement = (sql: string): StatementSync => {
    const known = prepared.get(sql);
    if (known) return known;
    const fresh = db.prepare(sql);
    prepared.set(sql, fresh);
    return fresh;
  };
  const after: (() => void)[] = [];
  const transaction = <T>(work: () => T, { durable = false }: { durable?: boolean } = {}): T => {
    if (durable) db.exec('PRAGMA synchronous = FULL');
    let result: T;
    try {
      db.exec('BEGIN IMMEDIATE');
      result = work();
      db.exec('COMMIT');
    } catch (error) {
      after.length = 0;
      if (db.isTransaction) db.exec('ROLLBACK');
      throw error;
    } finally {
      if (durable) db.exec('PRAGMA synchronous = NORMAL');
    }
    for (const todo of after.splice(0)) todo();
    return result;
  };

  try {
    transaction(() => migrate(db, migrations));
  } catch (error) {
    db.close();
    throw error;
  }
  return {
    run: (sql, ...values) => Number(statement(sql).run(...values).changes),
    get: (sql, ...values) => statement(sql).get(...values) as Row | undefined,
    all: (sql, ...values) => statement(sql).all(...values) as Row[],
    transaction,
    afterCommit: (work) => void after.push(work),
    settle: () => void statement('PRAGMA wal_checkpoint(TRUNCATE)').all(),
    snapshot: (path) => {
      // An empty file is taken for one to be filled, and keeps its permissions.
      closeSync(openSync(path, 'wx', 0o600));
      const reader = new DatabaseSync(file, { readOnly: true, timeout: BUSY_MS });
      try {
        reader.prepare('VACUUM INTO ?').run(path);
      } finally {
        reader.close();
      }
    },
    close: () => {
      prepared.clear();
      db.close();
    },
  };
}

function migrate(db: DatabaseSync, migrations: readonly string[]): void {
  const taken = Number((db.prepare('PRAGMA user_version').get() as Row).user_version);
  if (taken > migrations.length)
    throw new Error(
      `The record was written by a later version of Ebbline (step ${taken}; this one knows ${migrations.length}). Use that version.`,
    );
  if (taken === migrations.length) return;
  for (const step of migrations.slice(taken)) db.exec(step);
  db.exec(`PRAGMA user_version = ${migrations.length}`);
}
