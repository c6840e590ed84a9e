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
  `
  -- the book of cases. Columns named sealed hold free text, and names, as the vault seals them
  CREATE TABLE patient_case (
    id TEXT PRIMARY KEY,
    code TEXT NOT NULL COLLATE NOCASE UNIQUE,
    sealed TEXT NOT NULL,
    created_at TEXT NOT NULL,
    -- when something in it last changed
    touched_at TEXT NOT NULL,
    revision INTEGER NOT NULL
  ) STRICT;
  CREATE INDEX patient_case_touched ON patient_case (touched_at);

  CREATE TABLE consent (
    id TEXT PRIMARY KEY,
    case_id TEXT NOT NULL REFERENCES patient_case (id) ON DELETE CASCADE,
    kind TEXT NOT NULL CHECK (kind IN ('photographs', 'research')),
    given_on TEXT NOT NULL,
    withdrawn_on TEXT,
    recorded_at TEXT NOT NULL,
    sealed TEXT NOT NULL
  ) STRICT;
  CREATE INDEX consent_case ON consent (case_id, kind);

  CREATE TABLE visit (
    id TEXT PRIMARY KEY,
    case_id TEXT NOT NULL REFERENCES patient_case (id) ON DELETE CASCADE,
    on_day TEXT NOT NULL,
    baseline INTEGER NOT NULL CHECK (baseline IN (0, 1)),
    sealed TEXT NOT NULL,
    revision INTEGER NOT NULL
  ) STRICT;
  CREATE INDEX visit_case ON visit (case_id, on_day);
  CREATE UNIQUE INDEX visit_baseline ON visit (case_id) WHERE baseline = 1;

  CREATE TABLE visit_photo (
    -- in the order they came
    seq INTEGER PRIMARY KEY,
    visit TEXT NOT NULL REFERENCES visit (id) ON DELETE CASCADE,
    case_id TEXT NOT NULL REFERENCES patient_case (id) ON DELETE CASCADE,
    sha256 TEXT NOT NULL REFERENCES photo (sha256),
    view TEXT NOT NULL,
    taken_at TEXT,
    chosen INTEGER NOT NULL CHECK (chosen IN (0, 1)),
    sealed TEXT NOT NULL,
    UNIQUE (case_id, sha256)
  ) STRICT;
  CREATE INDEX visit_photo_visit ON visit_photo (visit);
  CREATE INDEX visit_photo_photo ON visit_photo (sha256);
  CREATE UNIQUE INDEX visit_photo_chosen ON visit_photo (visit, view) WHERE chosen = 1;

  CREATE TABLE treatment (
    id TEXT PRIMARY KEY,
    case_id TEXT NOT NULL REFERENCES patient_case (id) ON DELETE CASCADE,
    on_day TEXT NOT NULL,
    sealed TEXT NOT NULL,
    revision INTEGER NOT NULL
  ) STRICT;
  CREATE INDEX treatment_case ON treatment (case_id, on_day);

  -- a comparison of two visits, from the moment its job is asked for
  CREATE TABLE case_comparison (
    id TEXT PRIMARY KEY REFERENCES job (id) ON DELETE CASCADE,
    case_id TEXT NOT NULL REFERENCES patient_case (id),
    before_visit TEXT NOT NULL REFERENCES visit (id),
    after_visit TEXT NOT NULL REFERENCES visit (id),
    created_at TEXT NOT NULL
  ) STRICT;
  CREATE INDEX case_comparison_case ON case_comparison (case_id);
  CREATE INDEX case_comparison_before ON case_comparison (before_visit);
  CREATE INDEX case_comparison_after ON case_comparison (after_visit);

  CREATE TABLE complaint (
    id TEXT PRIMARY KEY,
    case_id TEXT NOT NULL REFERENCES patient_case (id),
    on_day TEXT NOT NULL,
    before_visit TEXT NOT NULL REFERENCES visit (id),
    after_visit TEXT NOT NULL REFERENCES visit (id),
    stage TEXT NOT NULL CHECK (stage IN ('opened', 'heard', 'rated', 'revealed', 'concluded')),
    opened_at TEXT NOT NULL,
    heard_at TEXT,
    heard_sealed TEXT,
    calls_me TEXT REFERENCES photo (sha256),
    rated_at TEXT,
    rated_sealed TEXT,
    revealed_at TEXT,
    revealed_comparison TEXT REFERENCES case_comparison (id),
    concluded_at TEXT,
    concluded_sealed TEXT,
    revision INTEGER NOT NULL,
    CHECK ((heard_at IS NULL) = (stage = 'opened')),
    CHECK ((revealed_at IS NULL) = (revealed_comparison IS NULL)),
    CHECK (rated_at IS NULL OR heard_at IS NOT NULL),
    CHECK (revealed_at IS NULL OR rated_at IS NOT NULL),
    CHECK (concluded_at IS NULL OR revealed_at IS NOT NULL)
  ) STRICT;
  CREATE INDEX complaint_case ON complaint (case_id);
  CREATE INDEX complaint_before ON complaint (before_visit);
  CREATE INDEX complaint_after ON complaint (after_visit);
  CREATE INDEX complaint_calls_me ON complaint (calls_me);
  CREATE INDEX complaint_revealed ON complaint (revealed_comparison);

  CREATE TABLE complaint_addition (
    complaint TEXT NOT NULL REFERENCES complaint (id) ON DELETE CASCADE,
    n INTEGER NOT NULL,
    at TEXT NOT NULL,
    sealed TEXT NOT NULL,
    PRIMARY KEY (complaint, n)
  ) STRICT, WITHOUT ROWID;

  CREATE TABLE case_report (
    id TEXT PRIMARY KEY,
    case_id TEXT NOT NULL REFERENCES patient_case (id),
    kind TEXT NOT NULL CHECK (kind IN ('comparison', 'complaint', 'patient-sheet')),
    about TEXT NOT NULL,
    version INTEGER NOT NULL,
    created_at TEXT NOT NULL,
    signed_at TEXT,
    signed_sealed TEXT,
    sha256 TEXT NOT NULL,
    bytes INTEGER NOT NULL,
    CHECK ((signed_at IS NULL) = (signed_sealed IS NULL)),
    UNIQUE (kind, about, version)
  ) STRICT;
  CREATE INDEX case_report_case ON case_report (case_id);
  CREATE INDEX case_report_about ON case_report (about);
  CREATE INDEX case_report_sha256 ON case_report (sha256);

  CREATE TABLE practice (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    settings TEXT NOT NULL,
    revision INTEGER NOT NULL
  ) STRICT;

  -- the audit: lines are only ever added
  CREATE TABLE audit (
    n INTEGER PRIMARY KEY,
    at TEXT NOT NULL,
    actor TEXT NOT NULL,
    action TEXT NOT NULL,
    what TEXT NOT NULL,
    id TEXT NOT NULL,
    case_id TEXT,
    facts TEXT NOT NULL,
    hash TEXT NOT NULL
  ) STRICT;
  CREATE INDEX audit_case ON audit (case_id, n);
  CREATE TRIGGER audit_stands BEFORE UPDATE ON audit BEGIN SELECT RAISE (ABORT, 'a line of the audit is never changed'); END;
  CREATE TRIGGER audit_stays BEFORE DELETE ON audit BEGIN SELECT RAISE (ABORT, 'a line of the audit is never taken away'); END;
  `,
  `
  -- series of pairs; their answers and tables lie in series/<id>/. What names a series, its manifest and its faults is sealed
  CREATE TABLE series (
    id TEXT PRIMARY KEY,
    state TEXT NOT NULL CHECK (state IN ('waiting', 'running', 'done', 'failed', 'stopped')),
    task TEXT NOT NULL,
    asked TEXT NOT NULL,
    progress TEXT,
    fault TEXT,
    attempts INTEGER NOT NULL DEFAULT 0,
    stop_asked INTEGER NOT NULL DEFAULT 0,
    runner TEXT,
    created_at TEXT NOT NULL,
    started_at TEXT,
    ended_at TEXT,
    CHECK ((state = 'running') = (runner IS NOT NULL))
  ) STRICT;
  CREATE INDEX series_age ON series (created_at);
  CREATE INDEX series_waiting ON series (created_at) WHERE state = 'waiting';

  -- photographs of a series that were dropped on the page; sealed is the manifest's name of each
  CREATE TABLE series_photo (
    seq INTEGER PRIMARY KEY,
    series TEXT NOT NULL REFERENCES series (id) ON DELETE CASCADE,
    sha256 TEXT NOT NULL REFERENCES photo (sha256),
    sealed TEXT NOT NULL
  ) STRICT;
  CREATE INDEX series_photo_series ON series_photo (series);
  CREATE INDEX series_photo_photo ON series_photo (sha256);
  `,
];
