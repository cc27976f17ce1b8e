/**
 * What is written: recent readings at their place by series; hourly and daily figures of gauges,
 * then the marks up to where they are complete; what is older than its time and has such a figure
 * is removed. All of it is one transaction of the caller: a cut leaves the store as it was before.
 *
 * Hours and days are counted from the start of each boot, so that no clock step moves a figure.
 * Counters, states and absences are never thinned, nor is the newest row of a series, which lies
 * in a table of its own.
 */
import type { Database } from 'better-sqlite3';
import { dayBucketMs, hourBucketMs, hoursKeptMs, rawKeptMs } from './tiers.js';
import { settlement } from './write-readings.js';

/** A reading may be stored this long after the moment that it carries. */
const lateMsMax = 10 * 60_000;

interface Moment {
  readonly boot: number;
  readonly mono: number;
}

/** A number that is bound is a fraction to SQLite, and would divide as one: hence the casts. */
const hoursFromReadings = `INSERT OR REPLACE INTO reading_rollup
  SELECT series_id, @bucket, boot, min(mono_ms), min(wall_ms), max(last_mono_ms),
    max(last_wall_ms), avg(value), min(value), max(value), count(*)
  FROM every_reading
  WHERE series_id = @series AND state = 'measured'
    AND (boot, mono_ms) >= (@fromBoot, @fromMono) AND (boot, mono_ms) < (@boot, @mono)
  GROUP BY boot, mono_ms / CAST(@bucket AS INTEGER)`;

const daysFromHours = `INSERT OR REPLACE INTO reading_rollup
  SELECT series_id, @bucket, boot, min(mono_ms), min(wall_ms), max(last_mono_ms),
    max(last_wall_ms), sum(mean * readings) / sum(readings), min(low), max(high), sum(readings)
  FROM reading_rollup
  WHERE series_id = @series AND bucket_ms = ${hourBucketMs}
    AND (boot, mono_ms) >= (@fromBoot, @fromMono) AND (boot, mono_ms) < (@boot, @mono)
  GROUP BY boot, mono_ms / CAST(@bucket AS INTEGER)`;

/** A boot whose calendar is not believed ages by the next boot whose calendar is. */
const aged = `(boot, mono_ms) < (@boot, @mono) AND CASE
  WHEN boot IN (SELECT id FROM boot WHERE wall_trusted = 1) THEN last_wall_ms < @limit
  ELSE (SELECT started_wall FROM boot AS later
    WHERE later.id > own.boot AND later.wall_trusted = 1 ORDER BY later.id LIMIT 1) < @limit
  END`;

const removeReadings = `DELETE FROM reading AS own
  WHERE series_id = @series AND state = 'measured' AND ${aged}`;

const removeHours = `DELETE FROM reading_rollup AS own
  WHERE series_id = @series AND bucket_ms = ${hourBucketMs} AND ${aged}`;

/** Prepares thinning; the function rolls up and removes, and returns the number of rows removed. */
export function thinning(db: Database): (nowWallMs: number) => number {
  const gauges = db.prepare('SELECT id FROM series WHERE gauge = 1').pluck();
  const rollHours = rolling(db, hourBucketMs, hoursFromReadings);
  const rollDays = rolling(db, dayBucketMs, daysFromHours);
  const dropReadings = db.prepare(removeReadings);
  const dropHours = db.prepare(removeHours);
  const believedNow = believing(db);
  const settle = settlement(db);
  return (nowWallMs) => {
    settle();
    const series = gauges.all().map(Number);
    const hours = rollHours(series);
    const days = rollDays(series);
    const now = believedNow(nowWallMs);
    if (now === null) {
      return 0;
    }
    return series.reduce((removed, id) => {
      const raw = dropReadings.run({ series: id, limit: now - rawKeptMs, ...hours });
      const old = dropHours.run({ series: id, limit: now - hoursKeptMs, ...days });
      return removed + raw.changes + old.changes;
    }, 0);
  };
}

/** Rolls every series up to the last complete stretch of the newest boot; returns that moment. */
function rolling(db: Database, bucket: number, statement: string) {
  const roll = db.prepare(statement);
  const mark = db.prepare<[number], Moment>(
    'SELECT boot, mono_ms AS mono FROM rollup_mark WHERE bucket_ms = ?',
  );
  const setMark = db.prepare('INSERT OR REPLACE INTO rollup_mark VALUES (@bucket, @boot, @mono)');
  const newest = db.prepare<[], Moment>(
    'SELECT id AS boot, last_mono_ms AS mono FROM boot ORDER BY id DESC LIMIT 1',
  );
  return (series: readonly number[]): Moment => {
    const from = mark.get(bucket) ?? { boot: 0, mono: 0 };
    const last = newest.get() ?? from;
    const complete = Math.max(0, Math.floor((last.mono - lateMsMax) / bucket) * bucket);
    const until = { boot: last.boot, mono: complete };
    if (until.boot < from.boot || (until.boot === from.boot && until.mono <= from.mono)) {
      return from;
    }
    for (const id of series) {
      roll.run({ series: id, bucket, fromBoot: from.boot, fromMono: from.mono, ...until });
    }
    setMark.run({ bucket, ...until });
    return until;
  };
}

/** The calendar to age by: now when this boot's is believed, else the newest that was. */
function believing(db: Database) {
  const trusted = db.prepare('SELECT wall_trusted FROM boot ORDER BY id DESC LIMIT 1').pluck();
  const newest = db.prepare('SELECT max(last_wall_ms) FROM boot WHERE wall_trusted = 1').pluck();
  return (nowWallMs: number): number | null => {
    if (trusted.get() === 1) {
      return nowWallMs;
    }
    const wall = newest.get();
    return typeof wall === 'number' ? wall : null;
  };
}
