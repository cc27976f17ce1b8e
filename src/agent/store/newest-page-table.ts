/** The newest bytes of each record of a drive: one row for each, which the next look replaces. */
export const newestPageTable = `
CREATE TABLE newest_page (
  id INTEGER PRIMARY KEY,
  part_id INTEGER NOT NULL REFERENCES part (id),
  record TEXT NOT NULL,
  -- Numbers that a record does not have are -1, since nulls would never be the same row.
  log INTEGER NOT NULL,
  subpage INTEGER NOT NULL,
  page INTEGER NOT NULL,
  nsid INTEGER NOT NULL,
  boot INTEGER NOT NULL REFERENCES boot (id),
  mono_ms INTEGER NOT NULL,
  wall_ms INTEGER NOT NULL,
  command_set TEXT NOT NULL,
  sha256 TEXT NOT NULL,
  data BLOB NOT NULL,
  UNIQUE (part_id, record, log, subpage, page, nsid)
) STRICT;
`;
