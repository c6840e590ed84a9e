/**
 * The connection to PostgreSQL: a small pool that outlives a restart of the database. Work that a lost connection cut short is
 * tried again, so everything done through it must bear being done twice.
 */
import { setTimeout as sleep } from 'node:timers/promises';
import { Pool, type PoolClient, type QueryResult } from 'pg';
import { POSTGRES_MIGRATIONS, SCHEMA } from './postgres-tables.ts';

export type PostgresLink = Readonly<{
  /** Runs `work` whole or not at all; again when the connection was lost. */
  transaction: <T>(work: (client: PoolClient) => Promise<T>) => Promise<T>;
  /** One statement; again when the connection was lost. */
  rows: (sql: string, values?: readonly unknown[]) => Promise<Record<string, unknown>[]>;
  /** Tries `work` again while its connections are lost. */
  patiently: <T>(work: () => Promise<T>) => Promise<T>;
  /** One statement, tried once: for a library that has its own way with failures. */
  executeSql: (sql: string, values?: unknown[]) => Promise<QueryResult>;
  end: () => Promise<void>;
}>;

/** So long a database may be away before it counts as gone. */
const PATIENCE_MS = 10 * 60_000;
const LONGEST_WAIT_MS = 5_000;

export function linkPostgres(url: string, { connections = 4, patienceMs = PATIENCE_MS } = {}): PostgresLink {
  const pool = new Pool({ connectionString: url, max: connections, application_name: 'ebbline', connectionTimeoutMillis: 10_000 });
  // A connection that breaks while idle is only replaced; one in use fails its statement.
  pool.on('error', () => undefined);

  const patiently = async <T>(work: () => Promise<T>): Promise<T> => {
    const begun = performance.now();
    for (let wait = 100; ; wait = Math.min(2 * wait, LONGEST_WAIT_MS))
      try {
        return await work();
      } catch (error) {
        if (!isLost(error) || performance.now() - begun > patienceMs) throw error;
        await sleep(wait);
      }
  };
  const once = async <T>(work: (client: PoolClient) => Promise<T>): Promise<T> => {
    const client = await pool.connect();
    client.on('error', ignore);
    let broken: Error | undefined;
    try {
      await client.query('BEGIN');
      const result = await work(client);
      await client.query('COMMIT');
      return result;
    } catch (error) {
      if (isLost(error)) broken = error as Error;
      else
        await client.query('ROLLBACK').catch((lost: Error) => {
          broken = lost;
        });
      throw error;
    } finally {
      client.off('error', ignore);
      client.release(broken);
    }
  };
  return {
    transaction: (work) => patiently(() => once(work)),
    rows: async (sql, values = []) => (await patiently(() => pool.query(sql, [...values]))).rows as Record<string, unknown>[],
    patiently,
    executeSql: (sql, values) => pool.query(sql, values),
    end: () => pool.end(),
  };
}

/**
 * Brings the tables to the present, and runs `next` before another program may do the same: two that begin at once would both make what is
 * not there yet. Throws when the tables are of a later version of the program.
 */
export async function migratePostgres<T>(link: PostgresLink, next: () => Promise<T>): Promise<T> {
  return link.transaction(async (client) => {
    await client.query(`SELECT pg_advisory_xact_lock(hashtext('${SCHEMA}'))`);
    await client.query(`CREATE SCHEMA IF NOT EXISTS ${SCHEMA}`);
    await client.query(`CREATE TABLE IF NOT EXISTS ${SCHEMA}.step (taken integer NOT NULL)`);
    const { rows } = await client.query(`SELECT taken FROM ${SCHEMA}.step`);
    const taken = Number(rows[0]?.taken ?? 0);
    if (taken > POSTGRES_MIGRATIONS.length)
      throw new Error(
        `The queue was made by a later version of Ebbline (step ${taken}; this one knows ${POSTGRES_MIGRATIONS.length}). Use that version.`,
      );
    for (const step of POSTGRES_MIGRATIONS.slice(taken)) await client.query(step);
    if (rows.length === 0) await client.query(`INSERT INTO ${SCHEMA}.step (taken) VALUES ($1)`, [POSTGRES_MIGRATIONS.length]);
    else if (taken < POSTGRES_MIGRATIONS.length) await client.query(`UPDATE ${SCHEMA}.step SET taken = $1`, [POSTGRES_MIGRATIONS.length]);
    return next();
  });
}

const ignore = (): void => undefined;

/** Error codes of a connection that was lost or could not be made now. Source: PostgreSQL 15 manual, appendix A, class 08 and 57P. */
function isLost(error: unknown): boolean {
  if (!(error instanceof Error)) return false;
  const code = 'code' in error ? String(error.code) : '';
  return (
    /^08|^57P0[123]$/.test(code) ||
    ['ECONNREFUSED', 'ECONNRESET', 'EPIPE', 'ENOENT', 'ETIMEDOUT', 'EHOSTUNREACH', 'ENETUNREACH', 'EAI_AGAIN'].includes(code) ||
    /connection (terminated|timeout)|timeout (exceeded|expired)|Client has encountered a connection error/i.test(error.message)
  );
}
