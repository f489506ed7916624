-- Views for a person who opens the notebook in any SQLite tool.

CREATE VIEW latest_audits AS
SELECT claims.label AS claim, max(audits.id) AS audit_id
FROM audits JOIN claims ON claims.id = audits.claim_id
WHERE audits.state = 'done'
GROUP BY claims.label;

-- One row a claim, as it was last taken in; what warns comes first.
CREATE VIEW claims_with_rating AS
SELECT
    claims.label AS claim,
    taxa.scientific_name AS taxon,
    claims.wording AS claimed,
    claims.quote,
    claims.url,
    audits.rating AS latest_rating,
    audits.finished_at AS rated_at,
    audits.reasons,
    (SELECT count(*) FROM cautions WHERE cautions.audit_id = audits.id) AS cautions,
    audits.id AS audit_id,
    'No rating means that anything is safe to eat.' AS remember
FROM claims
JOIN taxa ON taxa.id = claims.taxon_id
LEFT JOIN latest_audits ON latest_audits.claim = claims.label
LEFT JOIN audits ON audits.id = latest_audits.audit_id
WHERE claims.id = coalesce(audits.claim_id, (SELECT max(newest.id) FROM claims AS newest WHERE newest.label = claims.label))
ORDER BY coalesce(audits.rating IN ('disputed', 'contradicted'), 0) DESC, coalesce(audits.id, 0) DESC, claims.id DESC;

-- One row a source, with what it says in its own words.
CREATE VIEW sources_with_quotes AS
SELECT
    claims.label AS claim,
    taxa.scientific_name AS taxon,
    claims.wording AS claimed,
    audits.id AS audit_id,
    audits.state,
    sources.label AS source,
    sources.depth,
    sources.title,
    sources.url,
    sources.outcome,
    sources.reason AS why_unread,
    sources.grounds,
    (
        SELECT group_concat(said.wording || ' (' || said.about || ', ' || said.eater || '): ' || said.quote, char(10))
        FROM (SELECT * FROM statements WHERE statements.source_id = sources.id ORDER BY statements.position) AS said
    ) AS quotes,
    sources.fetched_at,
    sources.sha256
FROM sources
JOIN audits ON audits.id = sources.audit_id
JOIN claims ON claims.id = audits.claim_id
JOIN taxa ON taxa.id = claims.taxon_id
ORDER BY audits.id DESC, sources.position;

-- Every statement that warns people and is not plainly about another taxon, whatever the rating.
CREATE VIEW said_toxic AS
SELECT DISTINCT
    taxa.scientific_name AS taxon,
    statements.about,
    statements.parts,
    statements.preparations,
    statements.certainty,
    statements.quote,
    sources.title,
    sources.url,
    sources.fetched_at
FROM statements
JOIN sources ON sources.id = statements.source_id
JOIN audits ON audits.id = sources.audit_id
JOIN claims ON claims.id = audits.claim_id
JOIN taxa ON taxa.id = claims.taxon_id
WHERE statements.wording = 'toxic' AND statements.eater = 'people' AND statements.about <> 'other'
ORDER BY taxa.scientific_name;

-- One row a page, however often it was fetched.
CREATE VIEW pages_kept AS
SELECT
    fetches.canonical_url AS url,
    count(*) AS times_fetched,
    count(DISTINCT fetches.sha256) AS versions,
    min(fetches.fetched_at) AS first_fetched,
    max(fetches.fetched_at) AS last_fetched,
    sum(fetches.reason IS NOT NULL) AS times_failed
FROM fetches
GROUP BY fetches.canonical_url
ORDER BY fetches.canonical_url;
