-- A store as the program of version 4 left it, as text: two boots, one drive there and one gone.
PRAGMA application_id = 1111578967;
PRAGMA user_version = 4;
CREATE TABLE boot (
  id INTEGER PRIMARY KEY,
  boot_id TEXT NOT NULL UNIQUE,
  started_wall INTEGER NOT NULL,
  wall_trusted INTEGER NOT NULL CHECK (wall_trusted IN (0, 1)),
  wall_offset_ms INTEGER NOT NULL,
  last_mono_ms INTEGER NOT NULL,
  last_wall_ms INTEGER NOT NULL
) STRICT;
CREATE TABLE part (
  id INTEGER PRIMARY KEY,
  kind TEXT NOT NULL,
  identity_key TEXT NOT NULL UNIQUE,
  name TEXT NOT NULL,
  label TEXT NOT NULL,
  details TEXT NOT NULL,
  first_boot INTEGER NOT NULL REFERENCES boot (id),
  first_wall_ms INTEGER NOT NULL,
  last_boot INTEGER NOT NULL REFERENCES boot (id),
  last_mono_ms INTEGER NOT NULL,
  last_wall_ms INTEGER NOT NULL
, gone_boot INTEGER, gone_mono_ms INTEGER, gone_wall_ms INTEGER) STRICT;
CREATE TABLE series (
  id INTEGER PRIMARY KEY,
  part_id INTEGER NOT NULL REFERENCES part (id),
  metric TEXT NOT NULL,
  place TEXT NOT NULL,
  unit TEXT NOT NULL,
  source TEXT NOT NULL,
  gauge INTEGER NOT NULL CHECK (gauge IN (0, 1)),
  UNIQUE (part_id, metric, place, unit)
) STRICT;
CREATE TABLE series_first (
  series_id INTEGER NOT NULL REFERENCES series (id),
  source TEXT NOT NULL,
  value REAL NOT NULL,
  boot INTEGER NOT NULL REFERENCES boot (id),
  wall_ms INTEGER NOT NULL,
  PRIMARY KEY (series_id, source)
) STRICT, WITHOUT ROWID;
CREATE TABLE reading (
  series_id INTEGER NOT NULL REFERENCES series (id),
  boot INTEGER NOT NULL REFERENCES boot (id),
  mono_ms INTEGER NOT NULL,
  wall_ms INTEGER NOT NULL,
  last_mono_ms INTEGER NOT NULL,
  last_wall_ms INTEGER NOT NULL,
  state TEXT NOT NULL
    CHECK (state IN ('measured', 'asleep', 'no-figure', 'not-visible', 'box-off')),
  value REAL,
  text TEXT NOT NULL,
  PRIMARY KEY (series_id, boot, mono_ms),
  CHECK ((state = 'measured') = (value IS NOT NULL)),
  CHECK (last_mono_ms >= mono_ms)
) STRICT, WITHOUT ROWID;
CREATE TABLE reading_rollup (
  series_id INTEGER NOT NULL REFERENCES series (id),
  bucket_ms INTEGER NOT NULL,
  boot INTEGER NOT NULL REFERENCES boot (id),
  mono_ms INTEGER NOT NULL,
  wall_ms INTEGER NOT NULL,
  last_mono_ms INTEGER NOT NULL,
  last_wall_ms INTEGER NOT NULL,
  mean REAL NOT NULL,
  low REAL NOT NULL,
  high REAL NOT NULL,
  readings INTEGER NOT NULL,
  PRIMARY KEY (series_id, bucket_ms, boot, mono_ms)
) STRICT, WITHOUT ROWID;
CREATE TABLE rollup_mark (
  bucket_ms INTEGER PRIMARY KEY,
  boot INTEGER NOT NULL,
  mono_ms INTEGER NOT NULL
) STRICT;
CREATE TABLE last_number (
  name TEXT PRIMARY KEY,
  value INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE speed (
  id INTEGER PRIMARY KEY,
  part_id INTEGER NOT NULL REFERENCES part (id),
  boot INTEGER NOT NULL REFERENCES boot (id),
  mono_ms INTEGER NOT NULL,
  wall_ms INTEGER NOT NULL,
  run INTEGER NOT NULL,
  path TEXT NOT NULL,
  direction TEXT NOT NULL,
  streams INTEGER NOT NULL,
  place INTEGER,
  bytes_per_second REAL,
  low REAL,
  high REAL,
  seconds REAL NOT NULL,
  conditions TEXT NOT NULL,
  complete INTEGER NOT NULL CHECK (complete IN (0, 1)),
  reason TEXT,
  limit_found TEXT,
  verdict TEXT NOT NULL
) STRICT;
CREATE INDEX speed_of_part ON speed (part_id, id);
CREATE TABLE burn_in (
  run INTEGER PRIMARY KEY AUTOINCREMENT,
  part_id INTEGER NOT NULL REFERENCES part (id),
  drive TEXT NOT NULL,
  erases INTEGER NOT NULL CHECK (erases IN (0, 1)),
  state TEXT NOT NULL,
  seed TEXT NOT NULL,
  plan TEXT NOT NULL,
  verdict TEXT,
  started_boot INTEGER NOT NULL REFERENCES boot (id),
  started_mono_ms INTEGER NOT NULL,
  started_wall_ms INTEGER NOT NULL,
  updated_boot INTEGER NOT NULL REFERENCES boot (id),
  updated_mono_ms INTEGER NOT NULL,
  updated_wall_ms INTEGER NOT NULL
) STRICT;
CREATE TABLE journal (
  entry INTEGER PRIMARY KEY AUTOINCREMENT,
  run INTEGER NOT NULL REFERENCES burn_in (run),
  kind TEXT NOT NULL CHECK (kind IN ('intent', 'progress', 'result', 'event')),
  boot INTEGER NOT NULL REFERENCES boot (id),
  mono_ms INTEGER NOT NULL,
  wall_ms INTEGER NOT NULL,
  body TEXT NOT NULL
) STRICT;
CREATE INDEX journal_of_run ON journal (run, entry);
CREATE TABLE finding (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  code TEXT NOT NULL,
  subject TEXT NOT NULL,
  place TEXT NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('open', 'cleared')),
  urgency TEXT NOT NULL,
  measured REAL,
  expected REAL,
  unit TEXT NOT NULL,
  source TEXT NOT NULL,
  evidence TEXT NOT NULL,
  next_step TEXT NOT NULL,
  opened_boot INTEGER NOT NULL REFERENCES boot (id),
  opened_mono_ms INTEGER NOT NULL,
  opened_wall_ms INTEGER NOT NULL,
  cleared_boot INTEGER REFERENCES boot (id),
  cleared_wall_ms INTEGER,
  acknowledged INTEGER NOT NULL CHECK (acknowledged IN (0, 1))
) STRICT;
CREATE INDEX finding_by_state ON finding (state, id);
CREATE TABLE request (
  id INTEGER PRIMARY KEY,
  boot INTEGER NOT NULL REFERENCES boot (id),
  mono_ms INTEGER NOT NULL,
  wall_ms INTEGER NOT NULL,
  request TEXT NOT NULL,
  body TEXT NOT NULL,
  reply TEXT
) STRICT;
CREATE TABLE part_date (
  part_id INTEGER NOT NULL REFERENCES part (id),
  kind TEXT NOT NULL,
  day TEXT NOT NULL,
  note TEXT NOT NULL,
  PRIMARY KEY (part_id, kind)
) STRICT, WITHOUT ROWID;
CREATE TABLE raw_data (
  sha256 TEXT PRIMARY KEY,
  data BLOB NOT NULL
) STRICT;
CREATE TABLE raw_page (
  id INTEGER PRIMARY KEY,
  part_id INTEGER NOT NULL REFERENCES part (id),
  boot INTEGER NOT NULL REFERENCES boot (id),
  mono_ms INTEGER NOT NULL,
  wall_ms INTEGER NOT NULL,
  reason TEXT NOT NULL,
  command_set TEXT NOT NULL,
  taken TEXT NOT NULL,
  record TEXT NOT NULL,
  log INTEGER,
  subpage INTEGER,
  page INTEGER,
  nsid INTEGER,
  failed TEXT,
  sha256 TEXT NOT NULL REFERENCES raw_data (sha256)
) STRICT;
CREATE INDEX raw_page_of_part ON raw_page (part_id, id);
CREATE TABLE job (
  job TEXT PRIMARY KEY,
  last_boot INTEGER NOT NULL,
  last_mono_ms INTEGER NOT NULL,
  last_wall_ms INTEGER NOT NULL,
  last_powered_ms INTEGER NOT NULL,
  outcome TEXT NOT NULL
) STRICT, WITHOUT ROWID;
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
CREATE TABLE controller_log (
  part_id INTEGER PRIMARY KEY REFERENCES part (id),
  entry_id INTEGER,
  record TEXT NOT NULL,
  last_addition INTEGER,
  last_erase INTEGER,
  entries INTEGER NOT NULL
) STRICT;
INSERT INTO boot VALUES (1, 'boot-1', 1767225600000, 1, 1767225600000, 7200000, 1767232800000);
INSERT INTO boot VALUES (2, 'boot-2', 1767333600000, 1, 1767333600000, 7200000, 1767340800000);
INSERT INTO part VALUES (1, 'drive', 'wwn:5000c500a1b2c3d4', 'LK-0001', 'Larkspur Archive 4 TB (invented)', '{"serial":"LK-0001"}', 1, 1767225600000, 2, 7200000, 1767340800000, NULL, NULL, NULL);
INSERT INTO part VALUES (2, 'drive', 'wwn:2', 'LK-0002', 'Larkspur Archive 4 TB (invented)', '{"serial":"LK-0001"}', 1, 1767225600000, 1, 0, 1767225600000, 2, 7200000, 1767340800000);
INSERT INTO series VALUES (1, 1, 'temperature', '', 'celsius', 'test record', 1);
INSERT INTO series VALUES (2, 1, 'reallocated-sectors', '', 'count', 'test record', 0);
INSERT INTO series VALUES (3, 1, 'drive-mode', '', 'count', 'test record', 0);
INSERT INTO series VALUES (4, 2, 'temperature', '', 'celsius', 'test record', 1);
INSERT INTO series VALUES (5, 1, 'temperature', '', 'count', 'test record', 1);
INSERT INTO series_first VALUES (1, 'test record', 31, 1, 1767225600000);
INSERT INTO series_first VALUES (2, 'test record', 4, 1, 1767225600000);
INSERT INTO series_first VALUES (3, 'test record', 1, 1, 1767225600000);
INSERT INTO series_first VALUES (4, 'test record', 40, 1, 1767229200000);
INSERT INTO reading VALUES (1, 1, 0, 1767225600000, 0, 1767225600000, 'measured', 31, '');
INSERT INTO reading VALUES (1, 1, 3600000, 1767229200000, 3600000, 1767229200000, 'measured', 32, '');
INSERT INTO reading VALUES (1, 1, 7200000, 1767232800000, 7200000, 1767232800000, 'measured', 33, '');
INSERT INTO reading VALUES (2, 1, 0, 1767225600000, 3600000, 1767229200000, 'measured', 4, '');
INSERT INTO reading VALUES (2, 1, 7200000, 1767232800000, 7200000, 1767232800000, 'measured', 12, '');
INSERT INTO reading VALUES (2, 2, 3600000, 1767337200000, 7200000, 1767340800000, 'measured', 12, '');
INSERT INTO reading VALUES (3, 1, 0, 1767225600000, 7200000, 1767232800000, 'measured', 1, '');
INSERT INTO reading VALUES (4, 1, 3600000, 1767229200000, 3600000, 1767229200000, 'measured', 40, '');
INSERT INTO reading VALUES (5, 2, 3600000, 1767337200000, 7200000, 1767340800000, 'asleep', NULL, 'The drive sleeps');
INSERT INTO job VALUES ('surroundings', 2, 3600000, 1767337200000, 10800000, 'done');
