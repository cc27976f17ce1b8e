/** Questions about readings: the newest of each series, and the history of one. */
import type { Database } from 'better-sqlite3';
import { z } from 'zod';
import type { LatestReading, ReadingRow } from './rows.js';
import { decodeLatest, decodeReading, decodeRow, whole } from './rows-decode.js';
import type { StoreReader } from './store.js';
import { dayBucketMs, hourBucketMs, tierFor } from './tiers.js';

const rawColumns = `series_id AS seriesId, boot, mono_ms AS monoMs, wall_ms AS wallMs,
  last_mono_ms AS lastMonoMs, last_wall_ms AS lastWallMs, state, value, NULL AS low, NULL AS high,
  text`;

const rollupColumns = `series_id AS seriesId, boot, mono_ms AS monoMs, wall_ms AS wallMs,
  last_mono_ms AS lastMonoMs, last_wall_ms AS lastWallMs, 'measured' AS state, mean AS value,
  low, high, '' AS text`;

/**
 * Rows of boots with a believed calendar are chosen by it; those of other boots when the boot
 * comes after the last believed one that ended before the range.
 */
const inRange = `boot > @bootBefore AND (last_wall_ms >= @from
  OR boot IN (SELECT id FROM boot WHERE wall_trusted = 0))`;

const rollupRows = `SELECT ${rollupColumns} FROM reading_rollup
  WHERE series_id = @series AND bucket_ms = @bucket AND (boot, mono_ms) >= (@boot, @mono)
  AND ${inRange} ORDER BY boot, mono_ms`;

const rawRows = `SELECT ${rawColumns} FROM every_reading
  WHERE series_id = @series AND (state <> 'measured' OR (boot, mono_ms) >= (@boot, @mono))
  AND ${inRange} ORDER BY boot, mono_ms`;

/** Newest row of each series of a part, with the first figure that the same record gave. */
const latestRows = `SELECT series.id AS seriesId, metric, place, unit, series.source AS source,
  reading.boot AS boot, reading.mono_ms AS monoMs, reading.wall_ms AS wallMs,
  last_mono_ms AS lastMonoMs, last_wall_ms AS lastWallMs, state, reading.value AS value,
  NULL AS low, NULL AS high, text,
  series_first.value AS firstValue, series_first.wall_ms AS firstWallMs
  FROM series
  JOIN reading_newest AS reading ON reading.series_id = series.id
  LEFT JOIN series_first
    ON series_first.series_id = series.id AND series_first.source = series.source
  WHERE part_id = ? ORDER BY series.id`;

/**
 * What a series that sleeps now was when it was last measured: its newest row is the one that says
 * that it sleeps. Each table is asked by itself, so that the one ordered by series ends at once.
 */
const lastMeasuredIn = (table: string) => `SELECT * FROM (
  SELECT boot, mono_ms, value, text, last_wall_ms AS lastWallMs FROM ${table}
  WHERE series_id = @series AND state = 'measured' ORDER BY boot DESC, mono_ms DESC LIMIT 1)`;

const lastMeasuredRow = `SELECT value, text, lastWallMs FROM (
  ${lastMeasuredIn('reading_recent')} UNION ALL ${lastMeasuredIn('reading')})
  ORDER BY boot DESC, mono_ms DESC LIMIT 1`;

const beforeSleepSchema = z.object({ value: z.number(), text: z.string(), lastWallMs: z.number() });

const markSchema = z.object({ boot: whole, mono: whole });

interface Mark {
  readonly boot: number;
  readonly mono: number;
}

const beginning: Mark = { boot: 0, mono: 0 };

export function readingQueries(db: Database): Pick<StoreReader, 'latest' | 'readings'> {
  const history = historyQuery(db);
  const latest = db.prepare(latestRows);
  const lastMeasured = db.prepare(lastMeasuredRow);
  const withBeforeSleep = (reading: LatestReading): LatestReading => {
    const row =
      reading.state === 'asleep' ? lastMeasured.get({ series: reading.seriesId }) : undefined;
    if (row === undefined) return reading;
    return { ...reading, beforeSleep: decodeRow('reading', beforeSleepSchema, row) };
  };
  return {
    latest: (partId) => latest.all(partId).map((row) => withBeforeSleep(decodeLatest(row))),
    readings: history,
  };
}

/** A gauge's long history is told by its rollups, then by the figures after them. */
function historyQuery(db: Database): StoreReader['readings'] {
  const gauge = db.prepare('SELECT gauge FROM series WHERE id = ?').pluck();
  const rollups = db.prepare(rollupRows);
  const raw = db.prepare(rawRows);
  const marks = db.prepare('SELECT boot, mono_ms AS mono FROM rollup_mark WHERE bucket_ms = ?');
  const bootBefore = db
    .prepare('SELECT max(id) FROM boot WHERE wall_trusted = 1 AND last_wall_ms < ?')
    .pluck();
  const newestWall = db
    .prepare('SELECT max(last_wall_ms) FROM boot WHERE wall_trusted = 1')
    .pluck();

  const markOf = (bucket: number): Mark => {
    const row = marks.get(bucket);
    return row === undefined ? beginning : decodeRow('rollup_mark', markSchema, row);
  };
  return (series, fromWallMs) => {
    const range = Number(newestWall.get() ?? fromWallMs) - fromWallMs;
    const from = Math.trunc(Math.max(fromWallMs, Number.MIN_SAFE_INTEGER));
    const scope = { series, from, bootBefore: Number(bootBefore.get(from) ?? 0) };
    const told = (bucket: number, mark: Mark) =>
      rollups.all({ ...scope, ...mark, bucket }).map(decodeReading);
    const rest = (mark: Mark) => raw.all({ ...scope, ...mark }).map(decodeReading);
    const tier = gauge.get(series) === 1 ? tierFor(range) : 'raw';
    if (tier === 'raw') {
      return rest(beginning);
    }
    const hours = markOf(hourBucketMs);
    if (tier === 'hours') {
      return inOrder([...told(hourBucketMs, beginning), ...rest(hours)]);
    }
    const days = markOf(dayBucketMs);
    return inOrder([...told(dayBucketMs, beginning), ...told(hourBucketMs, days), ...rest(hours)]);
  };
}

function inOrder(rows: ReadingRow[]): readonly ReadingRow[] {
  return rows.sort((one, other) => one.boot - other.boot || one.monoMs - other.monoMs);
}
