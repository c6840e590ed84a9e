/**
 * The tables, as steps: `PRAGMA user_version` says how many have been taken. A step that was once released is never edited.
 * Times are ISO 8601 text in UTC, which sorts as time does. JSON columns hold what the schemas in shared/ describe.
 */
export const MIGRATIONS: readonly string[] = [
  `
  CREATE TABLE photo (
    sha256 TEXT PRIMARY KEY,
    name TEXT NOT NULL,
    bytes INTEGER NOT NULL,
    added_at TEXT NOT NULL
  ) STRICT;

  CREATE TABLE job (
    id TEXT PRIMARY KEY,
    kind TEXT NOT NULL CHECK (kind IN ('check', 'compare')),
    state TEXT NOT NULL CHECK (state IN ('waiting', 'running', 'done', 'failed', 'stopped')),
    request TEXT NOT NULL,
    -- SHA-256 of the request and the program's version: equal jobs have equal digests
    digest TEXT NOT NULL,
    step TEXT NOT NULL DEFAULT '',
    fraction REAL NOT NULL DEFAULT 0,
    attempts INTEGER NOT NULL DEFAULT 0,
    stop_asked INTEGER NOT NULL DEFAULT 0,
    runner TEXT,
    fault TEXT,
    result TEXT,
    created_at TEXT NOT NULL,
    started_at TEXT,
    ended_at TEXT,
    CHECK ((state = 'running') = (runner IS NOT NULL))
  ) STRICT;
  CREATE UNIQUE INDEX job_live ON job (digest) WHERE state IN ('waiting', 'running');
  CREATE INDEX job_digest ON job (digest, state);
  CREATE INDEX job_queue ON job (kind, created_at) WHERE state = 'waiting';
  CREATE INDEX job_age ON job (created_at);

  CREATE TABLE job_photo (
    job TEXT NOT NULL REFERENCES job (id) ON DELETE CASCADE,
    sha256 TEXT NOT NULL REFERENCES photo (sha256),
    PRIMARY KEY (job, sha256)
  ) STRICT, WITHOUT ROWID;
  CREATE INDEX job_photo_photo ON job_photo (sha256);

  CREATE TABLE runner (
    name TEXT PRIMARY KEY,
    heard_at TEXT NOT NULL
  ) STRICT;

  CREATE TABLE comparison (
    id TEXT PRIMARY KEY REFERENCES job (id),
    title TEXT NOT NULL,
    demo INTEGER NOT NULL,
    created_at TEXT NOT NULL,
    comparable INTEGER NOT NULL,
    beyond_error INTEGER NOT NULL,
    assessed INTEGER NOT NULL,
    views TEXT NOT NULL,
    comparison TEXT NOT NULL
  ) STRICT;
  CREATE INDEX comparison_age ON comparison (created_at);
  `,
  `
  -- what is done once in the life of a record, such as preparing the demo case
  CREATE TABLE once (
    what TEXT PRIMARY KEY,
    done_at TEXT NOT NULL
  ) STRICT;
  `,
  `
  -- profiles of set-ups; one made again under the same name does not replace the former, which comparisons may have used
  CREATE TABLE set_up (
    sha256 TEXT PRIMARY KEY,
    name TEXT NOT NULL,
    added_at TEXT NOT NULL,
    profile TEXT NOT NULL
  ) STRICT;
  CREATE INDEX set_up_name ON set_up (name, added_at);
  `,
  `
  -- which key the record is sealed with: the proof opens with no other. From the moments below on, nothing of that kind is plain
  CREATE TABLE vault (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    id TEXT NOT NULL,
    proof TEXT NOT NULL,
    rows_sealed_at TEXT,
    files_sealed_at TEXT
  ) STRICT;
  `,
];
