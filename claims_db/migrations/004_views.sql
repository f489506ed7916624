-- Views over the vetted list, and those of before over the taxa as they are named now.

CREATE VIEW claims_with_rating AS
SELECT
    claims.label AS claim,
    taxa.scientific_name AS taxon,
    claims.scientific_name AS named_as,
    claims.wording AS claimed,
    claims.quote,
    claims.url,
    origins.medium AS heard_in,
    claim_ratings.rating AS latest_rating,
    claim_ratings.rated_at,
    audits.reasons,
    (SELECT count(*) FROM cautions WHERE cautions.audit_id = audits.id) AS cautions,
    claim_ratings.audit_id,
    'No rating means that anything is safe to eat.' AS remember
FROM claim_ratings
JOIN claims ON claims.id = claim_ratings.claim_id
JOIN taxa ON taxa.id = claims.taxon_id
LEFT JOIN origins ON origins.claim = claims.label
LEFT JOIN audits ON audits.id = claim_ratings.audit_id
ORDER BY claim_ratings.alarm DESC, claim_ratings.audit_id DESC, claim_ratings.claim_id DESC;

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

-- The list with its reasons; entries that rest on a disputed or contradicted claim come first.
CREATE VIEW vetted_list AS
SELECT
    entries.label AS entry,
    taxa.scientific_name AS taxon,
    entries.part,
    entries.preparation,
    entries.status,
    entries.reason,
    entries.despite AS accepted_despite,
    entries.waiting_because,
    (
        SELECT group_concat(entry_claims.claim || ': ' || coalesce(claim_ratings.rating, 'not audited'), '; ')
        FROM entry_claims LEFT JOIN claim_ratings ON claim_ratings.label = entry_claims.claim
        WHERE entry_claims.entry_id = entries.id
    ) AS rests_on,
    entries.decided_by,
    entries.decided_at,
    entries.review_on,
    entries.months,
    (SELECT count(*) FROM claim_ratings WHERE claim_ratings.taxon_id = taxa.id AND claim_ratings.alarm) AS alarms,
    'No rating means that anything is safe to eat.' AS remember
FROM entries
JOIN taxa ON taxa.id = entries.taxon_id
ORDER BY alarms > 0 DESC, entries.status, taxa.scientific_name, entries.part, entries.preparation;

CREATE VIEW reviews_due AS
SELECT entry, taxon, part, preparation, status, review_on, remember
FROM vetted_list
WHERE review_on <> '' AND review_on <= date('now')
ORDER BY review_on;

-- Every name by which a taxon can be found.
CREATE VIEW all_names AS
SELECT id AS taxon_id, scientific_name AS taxon, 'accepted' AS kind, scientific_name AS name, '' AS language, '' AS until
FROM taxa
UNION ALL
SELECT taxa.id, taxa.scientific_name, 'former', former_names.name, '', former_names.until
FROM former_names JOIN taxa ON taxa.id = former_names.taxon_id
UNION ALL
SELECT taxa.id, taxa.scientific_name, names.kind, names.name, names.language, ''
FROM names JOIN taxa ON taxa.id = names.taxon_id;

INSERT INTO read_me (line, text) VALUES
    (4, 'The vetted list (entries) is what its keeper has decided. Notes of taste are no evidence and raise no rating.'),
    (5, 'The columns latitude, longitude and spot of the table places may be exact. Think before you hand this file on.');
