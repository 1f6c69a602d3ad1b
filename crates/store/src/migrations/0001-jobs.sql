-- Jobs as a list shows them; the text lies apart, so that a list reads short rows.
CREATE TABLE job (
    id TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    version BIGINT NOT NULL,
    changed_at TEXT COLLATE "C" NOT NULL,
    name TEXT NOT NULL,
    circuits BIGINT NOT NULL,
    verdict TEXT NOT NULL,
    answer TEXT NOT NULL,
    sought TEXT NOT NULL
);

CREATE INDEX job_by_change ON job (changed_at, id);

-- The newest text of each job.
CREATE TABLE job_text (
    job TEXT NOT NULL PRIMARY KEY REFERENCES job (id),
    text TEXT NOT NULL
);

-- Every change, with what turns its text into the one before it: at byte `back_at`, `back_length` bytes become `back_text`.
CREATE TABLE job_version (
    job TEXT NOT NULL REFERENCES job (id),
    version BIGINT NOT NULL,
    id TEXT NOT NULL,
    at TEXT NOT NULL,
    author TEXT NOT NULL,
    what TEXT NOT NULL,
    changes TEXT NOT NULL,
    takes_back TEXT NOT NULL,
    back_at BIGINT NOT NULL,
    back_length BIGINT NOT NULL,
    back_text TEXT NOT NULL,
    PRIMARY KEY (job, version),
    UNIQUE (job, id)
);

-- What was observed, in the order in which it came; added to and never changed.
CREATE TABLE evidence (
    job TEXT NOT NULL REFERENCES job (id),
    place BIGINT NOT NULL,
    id TEXT NOT NULL,
    kind TEXT NOT NULL,
    about TEXT NOT NULL,
    line TEXT NOT NULL,
    PRIMARY KEY (job, place),
    UNIQUE (job, id)
);

CREATE INDEX evidence_by_kind ON evidence (job, kind, about, place);
CREATE INDEX evidence_by_about ON evidence (job, about, place);

CREATE TABLE photo (
    job TEXT NOT NULL REFERENCES job (id),
    place BIGINT NOT NULL,
    id TEXT NOT NULL,
    at TEXT NOT NULL,
    author TEXT NOT NULL,
    about TEXT NOT NULL,
    media_type TEXT NOT NULL,
    bytes BYTEA NOT NULL,
    PRIMARY KEY (job, place),
    UNIQUE (job, id)
);
