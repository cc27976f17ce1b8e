/** The third migration: how far the log of a board's controller was read, which outlives boots. */
export const controllerLogTable = `
CREATE TABLE controller_log (
  part_id INTEGER PRIMARY KEY REFERENCES part (id),
  entry_id INTEGER,
  record TEXT NOT NULL,
  last_addition INTEGER,
  last_erase INTEGER,
  entries INTEGER NOT NULL
) STRICT;
`;
