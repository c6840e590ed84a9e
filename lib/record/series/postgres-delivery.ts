/**
 * The delivery of pairs to many machines by pg-boss: who gets which pair, for how long, and how often it is tried. What a pair
 * answered lies in tables of our own, because a delivery whose time is up may still be running.
 *
 * A worker beats every few seconds; one not heard for LEASE_MS loses its pair, which is delivered again. A pair that was delivered
 * MOST_ATTEMPTS times goes to the queue of dead letters.
 */
import { PgBoss } from 'pg-boss';
import type { PostgresLink } from './postgres-link.ts';
import { QUEUE_SCHEMA } from './postgres-tables.ts';
import { LEASE_MS, MOST_ATTEMPTS } from './types.ts';

export const PAIRS = 'pairs';
export const DEAD_PAIRS = 'dead-pairs';

export type Delivery = Readonly<{ series: string; pair: string; spec: string }>;

/** However well it beats: no pair takes so long, so the worker hangs. */
const LONGEST_PAIR_SECONDS = 30 * 60;
/** Waiting deliveries are kept so long; done ones are soon forgotten, as their answers lie elsewhere. */
const WAITING_SECONDS = 180 * 86_400;
const DONE_SECONDS = 3_600;
export const LOOK_SECONDS = 5;

/** `supervise`: this process looks for the dead, every so many seconds. One of each machine does. */
export async function openDelivery(
  link: PostgresLink,
  { supervise, lookSeconds = LOOK_SECONDS }: Readonly<{ supervise: boolean; lookSeconds?: number | undefined }>,
): Promise<PgBoss> {
  const boss = new PgBoss({
    db: { executeSql: link.executeSql },
    schema: QUEUE_SCHEMA,
    supervise,
    schedule: false,
    migrate: supervise,
    createSchema: supervise,
    superviseIntervalSeconds: lookSeconds,
    monitorIntervalSeconds: lookSeconds,
    registerInstance: false,
  });
  // A pass that a lost connection cut short is made again at the next look.
  boss.on('error', () => undefined);
  await link.patiently(() => boss.start());
  if (supervise) {
    const common = { retentionSeconds: WAITING_SECONDS, deleteAfterSeconds: DONE_SECONDS };
    await link.patiently(() => boss.createQueue(DEAD_PAIRS, common));
    await link.patiently(() =>
      boss.createQueue(PAIRS, {
        ...common,
        retryLimit: MOST_ATTEMPTS - 1,
        retryDelay: 0,
        expireInSeconds: LONGEST_PAIR_SECONDS,
        heartbeatSeconds: LEASE_MS / 1000,
        deadLetter: DEAD_PAIRS,
      }),
    );
  }
  return boss;
}
