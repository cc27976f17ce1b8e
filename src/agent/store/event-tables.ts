/** The second migration: what happened to parts, and how far the kernel's log was read. */
export const eventTables = `
CREATE TABLE event (
  id INTEGER PRIMARY KEY,
  boot INTEGER NOT NULL REFERENCES boot (id),
  key TEXT NOT NULL,
  mono_ms INTEGER NOT NULL,
  wall_ms INTEGER NOT NULL,
  part_id INTEGER REFERENCES part (id),
  kind TEXT NOT NULL,
  position_bytes INTEGER,
  text TEXT NOT NULL,
  record TEXT NOT NULL,
  UNIQUE (boot, key)
) STRICT;
CREATE INDEX event_of_part ON event (part_id, id);

CREATE TABLE log_mark (
  boot INTEGER PRIMARY KEY REFERENCES boot (id),
  sequence INTEGER NOT NULL
) STRICT;
`;
