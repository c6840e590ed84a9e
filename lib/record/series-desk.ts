/**
 * Series of the record, the working side. A series belongs to the runner that claimed it, and only that runner's words about it count.
 * Answers of pairs are kept one by one in the series' own folder, so that taking a series up again repeats nothing.
 */
import { canonicalJson } from '#shared/canonical-json.ts';
import { type SeriesFault, seriesFaultSchema, seriesProgressSchema } from '#shared/series-job.ts';
import type { Database } from './database.ts';
import { ago, now } from './now.ts';
import { seriesOf, seriesPurpose } from './series-row.ts';
import type { SeriesDesk } from './series-types.ts';
import type { Vault } from './vault.ts';

/** A series whose process died this often is not taken up again by itself: it is probably the cause. */
const MOST_ATTEMPTS = 3;

const LOST: SeriesFault = {
  code: 'lost',
  message:
    'The measuring process of this series ended by itself several times, probably for lack of memory. What was answered is kept. Close other programs, measure fewer pairs at the same time, and go on with it.',
};

export function openSeriesDesk(db: Database, vault: Vault): SeriesDesk {
  const settle = (id: string, state: 'done' | 'stopped' | 'failed', fault?: SeriesFault): number =>
    db.run(
      `UPDATE series SET state = ?, runner = NULL, fault = ?, ended_at = ? WHERE id = ?`,
      state,
      fault ? vault.sealText(canonicalJson(seriesFaultSchema.parse(fault)), seriesPurpose('fault', id)) : null,
      now(),
      id,
    );
  /** Without its runner: stopped when that was asked, failed when tried too often, else waiting. To be called inside a transaction. */
  const orphan = (id: string, stopAsked: boolean, attempts: number): void => {
    if (stopAsked) settle(id, 'stopped');
    else if (attempts >= MOST_ATTEMPTS) settle(id, 'failed', LOST);
    else db.run(`UPDATE series SET state = 'waiting', runner = NULL, attempts = ? WHERE id = ?`, attempts, id);
  };
  return {
    claimSeries: async (runner) => {
      // Asked often: the write lock is taken only when there is something to take.
      const next = () => db.get(`SELECT id FROM series WHERE state = 'waiting' ORDER BY created_at, id LIMIT 1`);
      if (!next()) return null;
      return db.transaction(() => {
        const row = next();
        if (!row) return null;
        return seriesOf(
          vault,
          db.get(
            `UPDATE series SET state = 'running', runner = ?, attempts = attempts + 1, started_at = ? WHERE id = ? RETURNING *`,
            runner,
            now(),
            row.id!,
          )!,
        );
      });
    },
    seriesProgress: async (id, runner, progress) => {
      const row = db.get(
        'UPDATE series SET progress = ? WHERE id = ? AND runner = ? RETURNING stop_asked',
        vault.sealText(canonicalJson(seriesProgressSchema.parse(progress)), seriesPurpose('progress', id)),
        id,
        runner,
      );
      return row && row.stop_asked === 0 ? 'go-on' : 'stop';
    },
    settleSeries: async (id, runner, state, fault) =>
      db.transaction(
        () => db.get('SELECT 1 FROM series WHERE id = ? AND runner = ?', id, runner) !== undefined && settle(id, state, fault) > 0,
      ),
    giveSeriesBack: async (id, runner, { untried }) =>
      db.transaction(() => {
        const row = db.get('SELECT stop_asked, attempts FROM series WHERE id = ? AND runner = ?', id, runner);
        if (row) orphan(id, row.stop_asked === 1, Number(row.attempts) - (untried ? 1 : 0));
      }),
    reclaimSeries: async (silentMs) =>
      db.transaction(() => {
        const rows = db.all(
          `SELECT id, stop_asked, attempts FROM series WHERE state = 'running' AND runner NOT IN (SELECT name FROM runner WHERE heard_at >= ?)`,
          ago(silentMs),
        );
        for (const row of rows) orphan(String(row.id), row.stop_asked === 1, Number(row.attempts));
        return rows.length;
      }),
  };
}
