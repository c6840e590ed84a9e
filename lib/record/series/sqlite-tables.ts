/** The tables of a series in its SQLite file, as steps; see migrations.ts for the rules. */
export const SERIES_MIGRATIONS: readonly string[] = [
  `
  -- what every pair is asked, and what else is known of the series, as JSON
  CREATE TABLE head (one INTEGER PRIMARY KEY CHECK (one = 1), ask TEXT NOT NULL, head TEXT NOT NULL) STRICT;

  -- a comparison lies under the hash of all that it is a function of
  CREATE TABLE comparison (key TEXT PRIMARY KEY, packed BLOB NOT NULL) STRICT;

  CREATE TABLE pair (
    pair TEXT PRIMARY KEY,
    -- in the manifest
    place INTEGER NOT NULL,
    spec TEXT NOT NULL,
    definition TEXT NOT NULL,
    state TEXT NOT NULL DEFAULT 'waiting' CHECK (state IN ('waiting', 'running', 'measured', 'not-comparable', 'failed')),
    attempts INTEGER NOT NULL DEFAULT 0,
    worker TEXT,
    lease_until TEXT,
    key TEXT REFERENCES comparison (key),
    inputs TEXT NOT NULL DEFAULT '[]',
    fault TEXT,
    CHECK ((state = 'running') = (worker IS NOT NULL)),
    CHECK ((state IN ('measured', 'not-comparable')) = (key IS NOT NULL)),
    CHECK ((state = 'failed') = (fault IS NOT NULL))
  ) STRICT;
  CREATE INDEX pair_waiting ON pair (attempts, place) WHERE state = 'waiting';
  CREATE INDEX pair_running ON pair (worker) WHERE state = 'running';
  CREATE INDEX pair_state ON pair (state);
  `,
  `
  -- what pairs are searched by, beside each comparison; see pair-findings.ts
  CREATE TABLE finding (key TEXT PRIMARY KEY REFERENCES comparison (key), zones TEXT NOT NULL, refused TEXT NOT NULL) STRICT, WITHOUT ROWID;
  `,
];
