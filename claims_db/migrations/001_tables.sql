-- The tables of a notebook. SCHEMA.md tells what each column holds.
-- Lists of short words are JSON arrays: they are written and read whole, and json_each() opens them up.

CREATE TABLE read_me (
    line INTEGER PRIMARY KEY,
    text TEXT NOT NULL
);
INSERT INTO read_me (line, text) VALUES
    (1, 'A doubtwort notebook: who said that a plant is edible, which sources they cited, and what those sources say.'),
    (2, 'NO RATING IN THIS FILE MEANS THAT ANYTHING IS SAFE TO EAT. It tells what sources say, nothing more.'),
    (3, 'The symbol ␛ inside a text stands for a character that SQLite tools cannot show: ␛0000 is NUL, ␛␛ is ␛ itself.');

CREATE TABLE taxa (
    id INTEGER PRIMARY KEY,
    scientific_name TEXT NOT NULL,
    family TEXT NOT NULL,
    UNIQUE (scientific_name, family)
);

CREATE TABLE names (
    id INTEGER PRIMARY KEY,
    taxon_id INTEGER NOT NULL REFERENCES taxa (id) ON DELETE CASCADE,
    kind TEXT NOT NULL CHECK (kind IN ('synonym', 'common')),
    name TEXT NOT NULL,
    UNIQUE (taxon_id, kind, name)
);
CREATE INDEX names_by_name ON names (name);

CREATE TABLE claims (
    id INTEGER PRIMARY KEY,
    label TEXT NOT NULL,
    digest TEXT NOT NULL UNIQUE CHECK (length(digest) = 64),
    taxon_id INTEGER NOT NULL REFERENCES taxa (id),
    wording TEXT NOT NULL,
    certainty TEXT NOT NULL,
    quote TEXT NOT NULL,
    url TEXT NOT NULL,
    parts TEXT NOT NULL,
    preparations TEXT NOT NULL,
    stages TEXT NOT NULL
);
CREATE INDEX claims_by_label ON claims (label);
CREATE INDEX claims_by_taxon ON claims (taxon_id);

CREATE TABLE claim_names (
    id INTEGER PRIMARY KEY,
    claim_id INTEGER NOT NULL REFERENCES claims (id) ON DELETE CASCADE,
    name_id INTEGER NOT NULL REFERENCES names (id),
    position INTEGER NOT NULL
);
CREATE INDEX claim_names_by_claim ON claim_names (claim_id);
CREATE INDEX claim_names_by_name ON claim_names (name_id);

CREATE TABLE audits (
    id INTEGER PRIMARY KEY,
    claim_id INTEGER NOT NULL REFERENCES claims (id),
    state TEXT NOT NULL CHECK (state IN ('running', 'done')),
    holder TEXT NOT NULL,
    started_at TEXT NOT NULL,
    finished_at TEXT,
    audited_at TEXT,
    rating TEXT,
    reasons TEXT,
    notes TEXT,
    CHECK ((state = 'done') = (rating IS NOT NULL))
);
CREATE INDEX audits_by_claim ON audits (claim_id);

CREATE TABLE sources (
    id INTEGER PRIMARY KEY,
    audit_id INTEGER NOT NULL REFERENCES audits (id) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    label TEXT NOT NULL,
    url TEXT NOT NULL,
    final_url TEXT NOT NULL,
    title TEXT NOT NULL,
    depth INTEGER NOT NULL,
    cited_by TEXT NOT NULL,
    outcome TEXT NOT NULL,
    reason TEXT,
    detail TEXT NOT NULL,
    grounds TEXT,
    main_subject TEXT NOT NULL,
    fetched_at TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    archived INTEGER NOT NULL CHECK (archived IN (0, 1)),
    UNIQUE (audit_id, label)
);
CREATE INDEX sources_by_url ON sources (url);

CREATE TABLE citations (
    id INTEGER PRIMARY KEY,
    claim_id INTEGER REFERENCES claims (id) ON DELETE CASCADE,
    source_id INTEGER REFERENCES sources (id) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    key TEXT NOT NULL,
    text TEXT NOT NULL,
    urls TEXT NOT NULL,
    doi TEXT NOT NULL,
    isbn TEXT NOT NULL,
    authors TEXT NOT NULL,
    year TEXT NOT NULL,
    title TEXT NOT NULL,
    pages TEXT NOT NULL,
    archived_url TEXT NOT NULL,
    further_reading INTEGER NOT NULL CHECK (further_reading IN (0, 1)),
    CHECK ((claim_id IS NULL) <> (source_id IS NULL))
);
CREATE INDEX citations_by_claim ON citations (claim_id);
CREATE INDEX citations_by_source ON citations (source_id);

CREATE TABLE statements (
    id INTEGER PRIMARY KEY,
    source_id INTEGER NOT NULL REFERENCES sources (id) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    quote TEXT NOT NULL,
    wording TEXT NOT NULL,
    about TEXT NOT NULL,
    eater TEXT NOT NULL,
    certainty TEXT NOT NULL,
    parts TEXT NOT NULL,
    preparations TEXT NOT NULL,
    stages TEXT NOT NULL,
    amount TEXT NOT NULL,
    except_parts TEXT NOT NULL,
    rules TEXT NOT NULL,
    subject TEXT NOT NULL,
    citations TEXT NOT NULL,
    headings TEXT,
    start_offset INTEGER,
    end_offset INTEGER,
    page INTEGER
);
CREATE INDEX statements_by_source ON statements (source_id);

CREATE TABLE notices (
    id INTEGER PRIMARY KEY,
    source_id INTEGER NOT NULL REFERENCES sources (id) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    code TEXT NOT NULL,
    quote TEXT NOT NULL,
    about TEXT NOT NULL,
    rules TEXT NOT NULL,
    headings TEXT,
    start_offset INTEGER,
    end_offset INTEGER,
    page INTEGER
);
CREATE INDEX notices_by_source ON notices (source_id);

CREATE TABLE cautions (
    id INTEGER PRIMARY KEY,
    audit_id INTEGER NOT NULL REFERENCES audits (id) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    code TEXT NOT NULL,
    text TEXT NOT NULL,
    source TEXT NOT NULL
);
CREATE INDEX cautions_by_audit ON cautions (audit_id);

CREATE TABLE steps (
    id INTEGER PRIMARY KEY,
    audit_id INTEGER NOT NULL REFERENCES audits (id) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    origin TEXT NOT NULL,
    target TEXT NOT NULL,
    shift TEXT
);
CREATE INDEX steps_by_audit ON steps (audit_id);

CREATE TABLE root_groups (
    id INTEGER PRIMARY KEY,
    audit_id INTEGER NOT NULL REFERENCES audits (id) ON DELETE CASCADE,
    position INTEGER NOT NULL,
    root TEXT NOT NULL,
    group_number INTEGER NOT NULL
);
CREATE INDEX root_groups_by_audit ON root_groups (audit_id);

CREATE TABLE bodies (
    sha256 TEXT PRIMARY KEY CHECK (length(sha256) = 64),
    size INTEGER NOT NULL,
    zlib BLOB NOT NULL
);

CREATE TABLE fetches (
    id INTEGER PRIMARY KEY,
    audit_id INTEGER REFERENCES audits (id) ON DELETE SET NULL,
    canonical_url TEXT NOT NULL,
    url TEXT NOT NULL,
    final_url TEXT NOT NULL,
    status INTEGER,
    reason TEXT,
    detail TEXT NOT NULL,
    headers TEXT NOT NULL,
    sha256 TEXT REFERENCES bodies (sha256),
    fetched_at TEXT NOT NULL,
    archived INTEGER NOT NULL CHECK (archived IN (0, 1)),
    CHECK ((reason IS NULL) = (sha256 IS NOT NULL)),
    CHECK ((reason IS NULL) = (status IS NOT NULL))
);
CREATE INDEX fetches_by_canonical_url ON fetches (canonical_url);
CREATE INDEX fetches_by_url ON fetches (url);
CREATE INDEX fetches_by_audit ON fetches (audit_id);
CREATE INDEX fetches_by_body ON fetches (sha256);
