/**
 * What changes in each round lies close together, so that a round writes a few pages instead of
 * one for each series. `reading_newest` holds the newest row of each series,
 * `reading_recent` the rows before it in order of time until they are moved to `reading`, which is
 * ordered by series. A row lies in one of the three. `part_seen` holds when a part was last seen;
 * the columns of `part` that held it before tell when its row was last written.
 */
const columns = `series_id, boot, mono_ms, wall_ms, last_mono_ms, last_wall_ms, state, value, text`;

const columnsWithTypes = `
  boot INTEGER NOT NULL REFERENCES boot (id),
  mono_ms INTEGER NOT NULL,
  wall_ms INTEGER NOT NULL,
  last_mono_ms INTEGER NOT NULL,
  last_wall_ms INTEGER NOT NULL,
  state TEXT NOT NULL
    CHECK (state IN ('measured', 'asleep', 'no-figure', 'not-visible', 'box-off')),
  value REAL,
  text TEXT NOT NULL`;

const checks = `
  CHECK ((state = 'measured') = (value IS NOT NULL)),
  CHECK (last_mono_ms >= mono_ms)`;

export const recentReadingTables = `
CREATE TABLE reading_newest (
  series_id INTEGER PRIMARY KEY REFERENCES series (id),${columnsWithTypes},${checks}
) STRICT;

CREATE TABLE reading_recent (
  series_id INTEGER NOT NULL REFERENCES series (id),${columnsWithTypes},
  PRIMARY KEY (boot, mono_ms, series_id),${checks}
) STRICT, WITHOUT ROWID;

INSERT INTO reading_newest (${columns})
  SELECT ${columns} FROM series JOIN reading ON series_id = series.id AND (boot, mono_ms) = (
    SELECT boot, mono_ms FROM reading AS own WHERE own.series_id = series.id
    ORDER BY boot DESC, mono_ms DESC LIMIT 1);
DELETE FROM reading
  WHERE (series_id, boot, mono_ms) IN (SELECT series_id, boot, mono_ms FROM reading_newest);

CREATE VIEW every_reading AS
  SELECT ${columns} FROM reading
  UNION ALL SELECT ${columns} FROM reading_recent
  UNION ALL SELECT ${columns} FROM reading_newest;

CREATE TABLE part_seen (
  part_id INTEGER PRIMARY KEY REFERENCES part (id),
  boot INTEGER NOT NULL REFERENCES boot (id),
  mono_ms INTEGER NOT NULL,
  wall_ms INTEGER NOT NULL
) STRICT;
INSERT INTO part_seen SELECT id, last_boot, last_mono_ms, last_wall_ms FROM part;
`;
