/**
 * What is written: the series of a reading (once), its first measured figure per record (once),
 * then the figure, as the newest row of its series. A gauge's figure is a row of its own each time;
 * a counter, a state and an absence that say the same as before in the same boot lengthen the row
 * that is there. The row that was newest before goes to the recent ones first, and those go to
 * their place by series every few hours, since there each series lies on a page of its own, and
 * writing so many pages in each round would wear out a boot stick.
 *
 * Each function runs inside a transaction of its caller: a cut leaves each row where it was.
 */
import type { Database } from 'better-sqlite3';
import type { Reading, ReadingState } from '../../checks/reading.js';
import type { Instant } from './rows.js';

export type GaugeTest = (metric: string) => boolean;

export type ReadingWriting = (partId: number, at: Instant, readings: readonly Reading[]) => void;

interface Series {
  readonly id: number;
  readonly source: string;
  readonly gauge: number;
}

interface Figure {
  readonly state: ReadingState;
  readonly value: number | null;
  readonly text: string;
}

interface NewestRow extends Figure {
  readonly boot: number;
  readonly monoMs: number;
  readonly lastMonoMs: number;
}

export function readingWriting(db: Database, isGauge: GaugeTest): ReadingWriting {
  const seriesOf = findingSeries(db, isGauge);
  const keepFirst = db.prepare(
    `INSERT OR IGNORE INTO series_first (series_id, source, value, boot, wall_ms)
     VALUES (@series, @source, @value, @boot, @wallMs)`,
  );
  const newest = db.prepare<[number], NewestRow>(
    `SELECT boot, mono_ms AS monoMs, last_mono_ms AS lastMonoMs, state, value, text
     FROM reading_newest WHERE series_id = ?`,
  );
  const lengthen = db.prepare(
    `UPDATE reading_newest SET last_mono_ms = @monoMs, last_wall_ms = @wallMs
     WHERE series_id = @series AND last_mono_ms < @monoMs`,
  );
  const toRecent = db.prepare(
    `INSERT OR REPLACE INTO reading_recent (${columns})
     SELECT ${columns} FROM reading_newest WHERE series_id = ?`,
  );
  const insertInto = (table: string) =>
    db.prepare(
      `INSERT OR REPLACE INTO ${table} (${columns})
       VALUES (@series, @boot, @monoMs, @wallMs, @monoMs, @wallMs, @state, @value, @text)`,
    );
  const insertNewest = insertInto('reading_newest');
  const insertRecent = insertInto('reading_recent');
  const settleInTime = settling(db);

  const keepFigure = (series: Series, at: Instant, figure: Figure): void => {
    const last = newest.get(series.id);
    const each = series.gauge === 1 && figure.state === 'measured';
    if (!each && last !== undefined && continues(last, at, figure)) {
      lengthen.run({ series: series.id, ...at });
    } else if (last !== undefined && isBefore(at, last)) {
      insertRecent.run({ series: series.id, ...at, ...figure });
    } else {
      if (last !== undefined && isBefore(last, at)) toRecent.run(series.id);
      insertNewest.run({ series: series.id, ...at, ...figure });
    }
  };
  return (partId, at, readings) => {
    for (const reading of readings) {
      const series = seriesOf(partId, reading);
      const figure = figureOf(reading);
      if (figure.value !== null) {
        keepFirst.run({ series: series.id, source: reading.source, value: figure.value, ...at });
      }
      keepFigure(series, at, figure);
    }
    settleInTime(at);
  };
}

const columns = `series_id, boot, mono_ms, wall_ms, last_mono_ms, last_wall_ms, state, value, text`;

/** Our choice: more seldom writes less, more often keeps the questions about one series quick. */
const settleEachMs = 2 * 3_600_000;

/** Moves the recent rows to their place by series; runs inside a transaction of its caller. */
export function settlement(db: Database): () => void {
  const move = db.prepare(
    `INSERT OR REPLACE INTO reading (${columns})
     SELECT ${columns} FROM reading_recent ORDER BY series_id, boot, mono_ms`,
  );
  const clear = db.prepare('DELETE FROM reading_recent');
  return () => {
    move.run();
    clear.run();
  };
}

/** The same every few hours of a boot, and first of all for what an earlier process left. */
function settling(db: Database): (at: Instant) => void {
  const settle = settlement(db);
  let settled: Instant | null = null;
  return (at) => {
    const isSoon = settled?.boot === at.boot && at.monoMs - settled.monoMs < settleEachMs;
    if (isSoon) return;
    settle();
    settled = at;
  };
}

function isBefore(one: Moment, other: Moment): boolean {
  return one.boot < other.boot || (one.boot === other.boot && one.monoMs < other.monoMs);
}

type Moment = Pick<Instant, 'boot' | 'monoMs'>;

/** The record that measures may change; an absence leaves the record's name as it was. */
function findingSeries(db: Database, isGauge: GaugeTest) {
  const find = db.prepare<object, Series>(
    `SELECT id, source, gauge FROM series
     WHERE part_id = @partId AND metric = @metric AND place = @place AND unit = @unit`,
  );
  const add = db.prepare(
    `INSERT INTO series (part_id, metric, place, unit, source, gauge)
     VALUES (@partId, @metric, @place, @unit, @source, @gauge)`,
  );
  const setSource = db.prepare('UPDATE series SET source = ? WHERE id = ?');
  return (partId: number, reading: Reading): Series => {
    const { metric, unit, source, state } = reading;
    const key = { partId, metric, place: reading.place ?? '', unit };
    const known = find.get(key);
    if (known === undefined) {
      const gauge = isGauge(metric) ? 1 : 0;
      const added = add.run({ ...key, source, gauge });
      return { id: Number(added.lastInsertRowid), source, gauge };
    }
    if (state === 'measured' && known.source !== source) {
      setSource.run(source, known.id);
    }
    return known;
  };
}

function continues(last: NewestRow, at: Instant, figure: Figure): boolean {
  return (
    last.boot === at.boot &&
    last.monoMs <= at.monoMs &&
    last.state === figure.state &&
    last.value === figure.value &&
    last.text === figure.text
  );
}

/** A measured figure that is not finite is no figure: the store never holds an invented number. */
function figureOf({ state, value, text, why }: Reading): Figure {
  if (state !== 'measured') {
    return { state, value: null, text: why ?? '' };
  }
  if (value === null || !Number.isFinite(value)) {
    return { state: 'no-figure', value: null, text: `The record gave ${value}, not a number` };
  }
  return { state, value, text: text ?? '' };
}
