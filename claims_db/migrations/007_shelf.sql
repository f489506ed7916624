-- Passages that a person transcribed from works that could not be fetched: a book without a link, a paper behind a wall.
-- A claim and a work may have several over time; the latest is read.
CREATE TABLE transcripts (
    id INTEGER PRIMARY KEY,
    label TEXT NOT NULL,
    claim TEXT NOT NULL,
    work TEXT NOT NULL,
    reference TEXT NOT NULL,
    look_for TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('text', 'pdf')),
    page TEXT NOT NULL,
    sha256 TEXT NOT NULL REFERENCES bodies (sha256),
    filled_at TEXT NOT NULL
);
CREATE INDEX transcripts_by_work ON transcripts (claim, work);
CREATE INDEX transcripts_by_body ON transcripts (sha256);
