-- When the file was last looked through from end to end. A large one is not read whole at every opening.
CREATE TABLE upkeep (
    name TEXT PRIMARY KEY,
    value TEXT NOT NULL
);
