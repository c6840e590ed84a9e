/**
 * The tables of series in PostgreSQL, as steps, in a schema of their own beside the queue's. The step taken last stands in
 * `ebbline.step`; a lock keeps two programs from taking it at once.
 */
export const SCHEMA = 'ebbline';
export const QUEUE_SCHEMA = 'ebbline_queue';

export const POSTGRES_MIGRATIONS: readonly string[] = [
  `
  CREATE TABLE ${SCHEMA}.series (name text PRIMARY KEY, ask text NOT NULL, head text NOT NULL);

  -- a comparison lies under the hash of all that it is a function of: there is one, whoever measured it and however often
  CREATE TABLE ${SCHEMA}.comparison (key text PRIMARY KEY, packed bytea NOT NULL);

  CREATE TABLE ${SCHEMA}.pair (
    series text NOT NULL REFERENCES ${SCHEMA}.series (name) ON DELETE CASCADE,
    pair text COLLATE "C" NOT NULL,
    spec text NOT NULL,
    definition text NOT NULL,
    state text NOT NULL DEFAULT 'waiting' CHECK (state IN ('waiting', 'running', 'measured', 'not-comparable', 'failed')),
    attempts integer NOT NULL DEFAULT 0,
    worker text,
    -- the delivery that it was claimed with
    job uuid,
    key text REFERENCES ${SCHEMA}.comparison (key),
    inputs text NOT NULL DEFAULT '[]',
    fault text,
    PRIMARY KEY (series, pair),
    CHECK ((state = 'running') = (worker IS NOT NULL)),
    CHECK ((state IN ('measured', 'not-comparable')) = (key IS NOT NULL)),
    CHECK ((state = 'failed') = (fault IS NOT NULL))
  );
  CREATE INDEX pair_running ON ${SCHEMA}.pair (worker) WHERE state = 'running';
  CREATE INDEX pair_state ON ${SCHEMA}.pair (series, state);
  `,
];
