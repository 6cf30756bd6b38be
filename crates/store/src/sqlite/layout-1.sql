-- Moments are UTC texts of ISO 8601 with milliseconds, dates ISO dates: they sort as they are.

CREATE TABLE plan (
    id           INTEGER PRIMARY KEY AUTOINCREMENT,
    made_at      TEXT NOT NULL,
    made_by      TEXT NOT NULL,
    based_on     INTEGER NOT NULL,
    reason       TEXT NOT NULL,
    orders       INTEGER NOT NULL,
    late_orders  INTEGER NOT NULL,
    total_cost   REAL NOT NULL,
    currency     TEXT NOT NULL,
    outcome      TEXT NOT NULL DEFAULT 'proposed' CHECK (outcome IN ('proposed', 'published', 'discarded')),
    version      INTEGER UNIQUE,
    settled_at   TEXT,
    settled_by   TEXT,
    CHECK ((outcome = 'published') = (version IS NOT NULL)),
    CHECK ((outcome = 'proposed') = (settled_at IS NULL)),
    CHECK ((outcome = 'proposed') = (settled_by IS NULL))
) STRICT;

-- Content is packed with gzip.
CREATE TABLE document (
    plan     INTEGER NOT NULL REFERENCES plan (id),
    name     TEXT NOT NULL,
    content  BLOB NOT NULL,
    PRIMARY KEY (plan, name)
) STRICT, WITHOUT ROWID;

CREATE TABLE report (
    seq          INTEGER PRIMARY KEY AUTOINCREMENT,
    key          TEXT UNIQUE,
    order_id     TEXT NOT NULL,
    step         TEXT NOT NULL,
    cell         TEXT,
    event        TEXT NOT NULL CHECK (event IN ('started', 'stopped', 'counted', 'finished', 'withdrawn')),
    reason       TEXT,
    good         INTEGER,
    scrap        INTEGER,
    withdraws    INTEGER REFERENCES report (seq),
    happened_at  TEXT NOT NULL,
    recorded_at  TEXT NOT NULL,
    recorded_by  TEXT NOT NULL,
    CHECK ((event = 'stopped') = (reason IS NOT NULL)),
    CHECK ((event IN ('counted', 'finished')) = (good IS NOT NULL)),
    CHECK ((good IS NULL) = (scrap IS NULL)),
    CHECK ((event = 'withdrawn') = (withdraws IS NOT NULL))
) STRICT;

CREATE TABLE inquiry (
    id        INTEGER PRIMARY KEY AUTOINCREMENT,
    asked_at  TEXT NOT NULL,
    asked_by  TEXT NOT NULL,
    customer  TEXT,
    part      TEXT NOT NULL,
    quantity  INTEGER NOT NULL,
    wanted    TEXT,
    version   INTEGER NOT NULL,
    answer    TEXT NOT NULL
) STRICT;

CREATE TABLE promise (
    id        INTEGER PRIMARY KEY AUTOINCREMENT,
    inquiry   INTEGER NOT NULL UNIQUE REFERENCES inquiry (id),
    given_at  TEXT NOT NULL,
    given_by  TEXT NOT NULL,
    order_id  TEXT NOT NULL UNIQUE,
    date      TEXT NOT NULL,
    way       TEXT NOT NULL,
    version   INTEGER NOT NULL
) STRICT;

-- What is written stays: the file itself refuses to change or lose it.

CREATE TRIGGER plan_settled_once BEFORE UPDATE ON plan WHEN old.outcome <> 'proposed'
BEGIN SELECT raise(ABORT, 'a plan is published or discarded once'); END;
CREATE TRIGGER plan_made_once BEFORE UPDATE OF made_at, made_by, based_on, reason, orders, late_orders, total_cost, currency ON plan
BEGIN SELECT raise(ABORT, 'a plan stays as it was made'); END;
CREATE TRIGGER plan_stays BEFORE DELETE ON plan
BEGIN SELECT raise(ABORT, 'plans stay'); END;
CREATE TRIGGER document_fixed BEFORE UPDATE ON document
BEGIN SELECT raise(ABORT, 'documents of a plan stay as they are'); END;
CREATE TRIGGER document_stays BEFORE DELETE ON document
BEGIN SELECT raise(ABORT, 'documents of a plan stay'); END;
CREATE TRIGGER report_fixed BEFORE UPDATE ON report
BEGIN SELECT raise(ABORT, 'reports are only added'); END;
CREATE TRIGGER report_stays BEFORE DELETE ON report
BEGIN SELECT raise(ABORT, 'reports are only added'); END;
CREATE TRIGGER inquiry_fixed BEFORE UPDATE ON inquiry
BEGIN SELECT raise(ABORT, 'inquiries are only added'); END;
CREATE TRIGGER inquiry_stays BEFORE DELETE ON inquiry
BEGIN SELECT raise(ABORT, 'inquiries are only added'); END;
CREATE TRIGGER promise_fixed BEFORE UPDATE ON promise
BEGIN SELECT raise(ABORT, 'promises are only added'); END;
CREATE TRIGGER promise_stays BEFORE DELETE ON promise
BEGIN SELECT raise(ABORT, 'promises are only added'); END;
