-- The vetted list and what belongs to it: living taxa, claims recorded by hand, entries, tasting notes, places, history.
DROP VIEW claims_with_rating;
DROP VIEW sources_with_quotes;
DROP VIEW said_toxic;

-- A claim keeps the name under which it was taken in; the taxon it belongs to may get another accepted name later.
ALTER TABLE claims ADD COLUMN scientific_name TEXT NOT NULL DEFAULT '';
ALTER TABLE claims ADD COLUMN family TEXT NOT NULL DEFAULT '';
UPDATE claims SET
    scientific_name = (SELECT taxa.scientific_name FROM taxa WHERE taxa.id = claims.taxon_id),
    family = (SELECT taxa.family FROM taxa WHERE taxa.id = claims.taxon_id);

-- One row a taxon, whatever family was given with it.
CREATE TABLE living_taxa (
    id INTEGER PRIMARY KEY,
    scientific_name TEXT NOT NULL UNIQUE,
    family TEXT NOT NULL,
    remarks TEXT NOT NULL DEFAULT ''
);
INSERT INTO living_taxa (id, scientific_name, family)
    SELECT min(id), scientific_name, max(family) FROM taxa GROUP BY scientific_name;
UPDATE claims SET taxon_id = (SELECT id FROM living_taxa WHERE scientific_name = claims.scientific_name);

CREATE TABLE names_by_language (
    id INTEGER PRIMARY KEY,
    taxon_id INTEGER NOT NULL REFERENCES taxa (id) ON DELETE CASCADE,
    kind TEXT NOT NULL CHECK (kind IN ('synonym', 'common')),
    name TEXT NOT NULL,
    language TEXT NOT NULL DEFAULT '',
    UNIQUE (taxon_id, kind, name, language)
);
INSERT INTO names_by_language (id, taxon_id, kind, name)
    SELECT min(names.id), living_taxa.id, names.kind, names.name
    FROM names JOIN taxa ON taxa.id = names.taxon_id JOIN living_taxa USING (scientific_name)
    GROUP BY living_taxa.id, names.kind, names.name;
UPDATE claim_names SET name_id = (
    SELECT kept.id
    FROM names JOIN taxa ON taxa.id = names.taxon_id JOIN living_taxa USING (scientific_name)
    JOIN names_by_language AS kept ON kept.taxon_id = living_taxa.id AND kept.kind = names.kind AND kept.name = names.name
    WHERE names.id = claim_names.name_id
);
DROP TABLE names;
DROP TABLE taxa;
ALTER TABLE living_taxa RENAME TO taxa;
ALTER TABLE names_by_language RENAME TO names;
CREATE INDEX names_by_name ON names (name COLLATE NOCASE);
CREATE INDEX taxa_by_name ON taxa (scientific_name COLLATE NOCASE);

CREATE TABLE former_names (
    id INTEGER PRIMARY KEY,
    taxon_id INTEGER NOT NULL REFERENCES taxa (id) ON DELETE CASCADE,
    name TEXT NOT NULL,
    until TEXT NOT NULL,
    reason TEXT NOT NULL
);
CREATE INDEX former_names_by_taxon ON former_names (taxon_id);
CREATE INDEX former_names_by_name ON former_names (name COLLATE NOCASE);

-- Where a claim was heard or read, for claims that a person wrote down.
CREATE TABLE origins (
    id INTEGER PRIMARY KEY,
    claim TEXT NOT NULL UNIQUE,
    medium TEXT NOT NULL CHECK (medium IN ('page', 'book', 'paper', 'talk', 'video', 'other')),
    work TEXT NOT NULL,
    locator TEXT NOT NULL,
    role TEXT NOT NULL,
    region TEXT NOT NULL,
    heard_on TEXT NOT NULL,
    remarks TEXT NOT NULL,
    recorded_at TEXT NOT NULL
);

-- One row for each way in which a cited work is known again: "doi:…", "isbn:…", "url:…".
CREATE TABLE citation_keys (
    id INTEGER PRIMARY KEY,
    citation_id INTEGER NOT NULL REFERENCES citations (id) ON DELETE CASCADE,
    key TEXT NOT NULL
);
INSERT INTO citation_keys (citation_id, key)
    SELECT id, 'doi:' || doi FROM citations WHERE doi <> '' AND claim_id IS NOT NULL
    UNION ALL SELECT id, 'isbn:' || isbn FROM citations WHERE isbn <> '' AND claim_id IS NOT NULL
    UNION ALL SELECT citations.id, 'url:' || json_each.value FROM citations, json_each(urls) WHERE claim_id IS NOT NULL;
CREATE INDEX citation_keys_by_key ON citation_keys (key);
CREATE INDEX citation_keys_by_citation ON citation_keys (citation_id);

CREATE TABLE entries (
    id INTEGER PRIMARY KEY,
    label TEXT NOT NULL UNIQUE,
    taxon_id INTEGER NOT NULL REFERENCES taxa (id),
    part TEXT NOT NULL,
    preparation TEXT NOT NULL,
    status TEXT NOT NULL CHECK (status IN ('accepted', 'waiting', 'rejected')),
    reason TEXT NOT NULL,
    despite TEXT NOT NULL,
    objections TEXT NOT NULL,
    waiting_because TEXT NOT NULL,
    decided_by TEXT NOT NULL,
    decided_at TEXT NOT NULL,
    review_on TEXT NOT NULL,
    months TEXT NOT NULL,
    recorded_at TEXT NOT NULL,
    UNIQUE (taxon_id, part, preparation)
);
CREATE INDEX entries_by_review ON entries (review_on);
CREATE INDEX entries_by_status ON entries (status);

CREATE TABLE entry_claims (
    id INTEGER PRIMARY KEY,
    entry_id INTEGER NOT NULL REFERENCES entries (id) ON DELETE CASCADE,
    claim TEXT NOT NULL,
    rating TEXT NOT NULL,
    UNIQUE (entry_id, claim)
);
CREATE INDEX entry_claims_by_claim ON entry_claims (claim);

CREATE TABLE tastings (
    id INTEGER PRIMARY KEY,
    label TEXT NOT NULL UNIQUE,
    taxon_id INTEGER NOT NULL REFERENCES taxa (id),
    part TEXT NOT NULL,
    preparation TEXT NOT NULL,
    tasted_on TEXT NOT NULL,
    prepared TEXT NOT NULL,
    amount TEXT NOT NULL,
    taste TEXT NOT NULL,
    texture TEXT NOT NULL,
    reaction TEXT NOT NULL,
    remarks TEXT NOT NULL,
    recorded_at TEXT NOT NULL
);
CREATE INDEX tastings_by_taxon ON tastings (taxon_id);

CREATE TABLE places (
    id INTEGER PRIMARY KEY,
    label TEXT NOT NULL UNIQUE,
    taxon_id INTEGER NOT NULL REFERENCES taxa (id),
    found_on TEXT NOT NULL,
    precision TEXT NOT NULL CHECK (precision IN ('exact', '100m', '1km', '10km', 'words')),
    latitude REAL,
    longitude REAL,
    spot TEXT NOT NULL,
    region TEXT NOT NULL,
    cautions TEXT NOT NULL,
    remarks TEXT NOT NULL,
    recorded_at TEXT NOT NULL,
    CHECK ((latitude IS NULL) = (longitude IS NULL))
);
CREATE INDEX places_by_taxon ON places (taxon_id);

-- Every change, with the rows before and after it, so that it can be undone.
CREATE TABLE history (
    id INTEGER PRIMARY KEY,
    at TEXT NOT NULL,
    what TEXT NOT NULL,
    undoable INTEGER NOT NULL CHECK (undoable IN (0, 1)),
    undoes INTEGER REFERENCES history (id),
    undone_by INTEGER REFERENCES history (id)
);
CREATE TABLE changes (
    id INTEGER PRIMARY KEY,
    history_id INTEGER NOT NULL REFERENCES history (id) ON DELETE CASCADE,
    table_name TEXT NOT NULL,
    row_id INTEGER NOT NULL,
    before TEXT,
    after TEXT
);
CREATE INDEX changes_by_history ON changes (history_id);

-- One line on the latest state of each claim, kept by triggers, so that lists need no sorting.
CREATE TABLE claim_ratings (
    label TEXT PRIMARY KEY,
    claim_id INTEGER NOT NULL REFERENCES claims (id) ON DELETE CASCADE,
    taxon_id INTEGER NOT NULL,
    audit_id INTEGER,
    rating TEXT,
    rated_at TEXT,
    alarm INTEGER NOT NULL DEFAULT 0
);
INSERT INTO claim_ratings (label, claim_id, taxon_id)
    SELECT claims.label, claims.id, claims.taxon_id FROM claims
    WHERE claims.id = (SELECT max(newest.id) FROM claims AS newest WHERE newest.label = claims.label);
UPDATE claim_ratings SET (claim_id, taxon_id, audit_id, rating, rated_at, alarm) = (
    SELECT claims.id, claims.taxon_id, audits.id, audits.rating, audits.finished_at,
        audits.rating IN ('disputed', 'contradicted')
    FROM audits JOIN claims ON claims.id = audits.claim_id
    WHERE audits.id = (SELECT audit_id FROM latest_audits WHERE latest_audits.claim = claim_ratings.label)
) WHERE EXISTS (SELECT 1 FROM latest_audits WHERE latest_audits.claim = claim_ratings.label);
CREATE INDEX claim_ratings_in_order ON claim_ratings (alarm DESC, audit_id DESC, claim_id DESC);
CREATE INDEX claim_ratings_by_taxon ON claim_ratings (taxon_id, alarm DESC, audit_id DESC, claim_id DESC);
CREATE INDEX claim_ratings_by_rating ON claim_ratings (rating, audit_id DESC, claim_id DESC);
CREATE INDEX claim_ratings_by_date ON claim_ratings (rated_at);
CREATE INDEX claim_ratings_by_audit ON claim_ratings (audit_id);
CREATE INDEX claim_ratings_by_claim ON claim_ratings (claim_id);
CREATE INDEX sources_by_outcome ON sources (outcome, audit_id);

CREATE TRIGGER claim_kept AFTER INSERT ON claims BEGIN
    INSERT INTO claim_ratings (label, claim_id, taxon_id) VALUES (new.label, new.id, new.taxon_id)
    ON CONFLICT (label) DO UPDATE SET claim_id = excluded.claim_id, taxon_id = excluded.taxon_id
    WHERE claim_ratings.audit_id IS NULL;
END;
CREATE TRIGGER audit_done AFTER UPDATE OF state, claim_id, rating, finished_at ON audits WHEN new.state = 'done' BEGIN
    UPDATE claim_ratings SET
        claim_id = new.claim_id, audit_id = new.id, rating = new.rating, rated_at = new.finished_at,
        taxon_id = (SELECT taxon_id FROM claims WHERE claims.id = new.claim_id),
        alarm = new.rating IN ('disputed', 'contradicted')
    WHERE label = (SELECT label FROM claims WHERE claims.id = new.claim_id) AND coalesce(audit_id, 0) <= new.id;
END;
CREATE TRIGGER audit_put_back AFTER INSERT ON audits WHEN new.state = 'done' BEGIN
    UPDATE claim_ratings SET
        claim_id = new.claim_id, audit_id = new.id, rating = new.rating, rated_at = new.finished_at,
        taxon_id = (SELECT taxon_id FROM claims WHERE claims.id = new.claim_id),
        alarm = new.rating IN ('disputed', 'contradicted')
    WHERE label = (SELECT label FROM claims WHERE claims.id = new.claim_id) AND coalesce(audit_id, 0) <= new.id;
END;
CREATE TRIGGER claim_moved AFTER UPDATE OF taxon_id ON claims BEGIN
    UPDATE claim_ratings SET taxon_id = new.taxon_id WHERE claim_id = new.id;
END;
