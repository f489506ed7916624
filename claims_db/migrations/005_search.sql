-- Full-text search (SQLite FTS5). The words lie in the tables that they are from; the index holds none of its own.
-- The exact words for a place (places.spot) are not searched: a search result may be shown to others.
-- Triggers note what has changed in search_queue, and the program brings the index up to date before it commits. (They
-- do not write to the index themselves: with trusted_schema off, SQLite before 3.41 lets no trigger touch FTS5.)

CREATE TABLE search_queue (
    id INTEGER PRIMARY KEY,
    table_name TEXT NOT NULL,
    row_id INTEGER NOT NULL,
    known INTEGER NOT NULL CHECK (known IN (0, 1)),
    text_1 TEXT,
    text_2 TEXT,
    text_3 TEXT,
    text_4 TEXT,
    text_5 TEXT
);

CREATE VIRTUAL TABLE statement_search USING fts5 (
    quote, wording, content = 'statements', content_rowid = 'id', tokenize = 'unicode61 remove_diacritics 2'
);
INSERT INTO statement_search (statement_search) VALUES ('rebuild');
CREATE TRIGGER statements_added AFTER INSERT ON statements BEGIN
    INSERT INTO search_queue (table_name, row_id, known) VALUES ('statements', new.id, 0);
END;
CREATE TRIGGER statements_gone AFTER DELETE ON statements BEGIN
    INSERT INTO search_queue (table_name, row_id, known, text_1, text_2) VALUES ('statements', old.id, 1, old.quote, old.wording);
END;
CREATE TRIGGER statements_changed AFTER UPDATE OF quote, wording ON statements BEGIN
    INSERT INTO search_queue (table_name, row_id, known, text_1, text_2) VALUES ('statements', old.id, 1, old.quote, old.wording);
END;

CREATE VIRTUAL TABLE claim_search USING fts5 (
    quote, scientific_name, content = 'claims', content_rowid = 'id', tokenize = 'unicode61 remove_diacritics 2'
);
INSERT INTO claim_search (claim_search) VALUES ('rebuild');
CREATE TRIGGER claims_added AFTER INSERT ON claims BEGIN
    INSERT INTO search_queue (table_name, row_id, known) VALUES ('claims', new.id, 0);
END;
CREATE TRIGGER claims_gone AFTER DELETE ON claims BEGIN
    INSERT INTO search_queue (table_name, row_id, known, text_1, text_2) VALUES ('claims', old.id, 1, old.quote, old.scientific_name);
END;
CREATE TRIGGER claims_changed AFTER UPDATE OF quote, scientific_name ON claims BEGIN
    INSERT INTO search_queue (table_name, row_id, known, text_1, text_2) VALUES ('claims', old.id, 1, old.quote, old.scientific_name);
END;

CREATE VIRTUAL TABLE origin_search USING fts5 (
    work, remarks, content = 'origins', content_rowid = 'id', tokenize = 'unicode61 remove_diacritics 2'
);
INSERT INTO origin_search (origin_search) VALUES ('rebuild');
CREATE TRIGGER origins_added AFTER INSERT ON origins BEGIN
    INSERT INTO search_queue (table_name, row_id, known) VALUES ('origins', new.id, 0);
END;
CREATE TRIGGER origins_gone AFTER DELETE ON origins BEGIN
    INSERT INTO search_queue (table_name, row_id, known, text_1, text_2) VALUES ('origins', old.id, 1, old.work, old.remarks);
END;
CREATE TRIGGER origins_changed AFTER UPDATE OF work, remarks ON origins BEGIN
    INSERT INTO search_queue (table_name, row_id, known, text_1, text_2) VALUES ('origins', old.id, 1, old.work, old.remarks);
END;

CREATE VIRTUAL TABLE entry_search USING fts5 (
    reason, despite, content = 'entries', content_rowid = 'id', tokenize = 'unicode61 remove_diacritics 2'
);
INSERT INTO entry_search (entry_search) VALUES ('rebuild');
CREATE TRIGGER entries_added AFTER INSERT ON entries BEGIN
    INSERT INTO search_queue (table_name, row_id, known) VALUES ('entries', new.id, 0);
END;
CREATE TRIGGER entries_gone AFTER DELETE ON entries BEGIN
    INSERT INTO search_queue (table_name, row_id, known, text_1, text_2) VALUES ('entries', old.id, 1, old.reason, old.despite);
END;
CREATE TRIGGER entries_changed AFTER UPDATE OF reason, despite ON entries BEGIN
    INSERT INTO search_queue (table_name, row_id, known, text_1, text_2) VALUES ('entries', old.id, 1, old.reason, old.despite);
END;

CREATE VIRTUAL TABLE tasting_search USING fts5 (
    prepared, taste, texture, reaction, remarks, content = 'tastings', content_rowid = 'id', tokenize = 'unicode61 remove_diacritics 2'
);
INSERT INTO tasting_search (tasting_search) VALUES ('rebuild');
CREATE TRIGGER tastings_added AFTER INSERT ON tastings BEGIN
    INSERT INTO search_queue (table_name, row_id, known) VALUES ('tastings', new.id, 0);
END;
CREATE TRIGGER tastings_gone AFTER DELETE ON tastings BEGIN
    INSERT INTO search_queue (table_name, row_id, known, text_1, text_2, text_3, text_4, text_5) VALUES ('tastings', old.id, 1, old.prepared, old.taste, old.texture, old.reaction, old.remarks);
END;
CREATE TRIGGER tastings_changed AFTER UPDATE OF prepared, taste, texture, reaction, remarks ON tastings BEGIN
    INSERT INTO search_queue (table_name, row_id, known, text_1, text_2, text_3, text_4, text_5) VALUES ('tastings', old.id, 1, old.prepared, old.taste, old.texture, old.reaction, old.remarks);
END;

CREATE VIRTUAL TABLE place_search USING fts5 (
    region, remarks, content = 'places', content_rowid = 'id', tokenize = 'unicode61 remove_diacritics 2'
);
INSERT INTO place_search (place_search) VALUES ('rebuild');
CREATE TRIGGER places_added AFTER INSERT ON places BEGIN
    INSERT INTO search_queue (table_name, row_id, known) VALUES ('places', new.id, 0);
END;
CREATE TRIGGER places_gone AFTER DELETE ON places BEGIN
    INSERT INTO search_queue (table_name, row_id, known, text_1, text_2) VALUES ('places', old.id, 1, old.region, old.remarks);
END;
CREATE TRIGGER places_changed AFTER UPDATE OF region, remarks ON places BEGIN
    INSERT INTO search_queue (table_name, row_id, known, text_1, text_2) VALUES ('places', old.id, 1, old.region, old.remarks);
END;
