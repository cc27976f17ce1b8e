/**
 * What is written: speed results, burn-ins and their journal. A burn-in's row comes before its
 * first journal entry; a child acts on an intent only after its entry is on disk, which the caller
 * sees to. Each function runs inside a transaction of its caller.
 */
import type { Database } from 'better-sqlite3';
import type { BurnInState, BurnInVerdict } from '../../checks/burn-in-result.js';
import type { SpeedResult } from '../../checks/speed-result.js';
import type { BurnInRow, Instant, JournalRow } from './rows.js';

export type BurnInToStart = Omit<BurnInRow, 'run' | 'updated' | 'verdict'>;

export interface WorkWriting {
  nextSpeedRun(): number;
  keepSpeed(partId: number, at: Instant, result: SpeedResult): void;
  /** Returns the number of the run. */
  startBurnIn(row: BurnInToStart, started: Instant): number;
  updateBurnIn(run: number, at: Instant, state: BurnInState, verdict: BurnInVerdict | null): void;
  appendJournal(run: number, at: Instant, kind: JournalRow['kind'], body: object): number;
}

const insertSpeed = `INSERT INTO speed (part_id, boot, mono_ms, wall_ms, run, path, direction,
    streams, place, bytes_per_second, low, high, seconds, conditions, complete, reason,
    limit_found, verdict)
  VALUES (@partId, @boot, @monoMs, @wallMs, @run, @path, @direction, @streams, @place,
    @bytesPerSecond, @low, @high, @seconds, @conditions, @complete, @reason, @limit, @verdict)`;

const insertBurnIn = `INSERT INTO burn_in (part_id, drive, erases, state, seed, plan,
    started_boot, started_mono_ms, started_wall_ms, updated_boot, updated_mono_ms, updated_wall_ms)
  VALUES (@partId, @drive, @erases, @state, @seed, @plan, @boot, @monoMs, @wallMs, @boot,
    @monoMs, @wallMs)`;

/** A verdict that was reached stays when a later change of state brings none. */
const setBurnIn = `UPDATE burn_in SET state = @state, verdict = coalesce(@verdict, verdict),
    updated_boot = @boot, updated_mono_ms = @monoMs, updated_wall_ms = @wallMs
  WHERE run = @run`;

export function workWriting(db: Database): WorkWriting {
  const speedRun = db
    .prepare(
      `INSERT INTO last_number (name, value) VALUES ('speed-run', 1)
       ON CONFLICT (name) DO UPDATE SET value = value + 1 RETURNING value`,
    )
    .pluck();
  const keepSpeed = db.prepare(insertSpeed);
  const start = db.prepare(insertBurnIn);
  const update = db.prepare(setBurnIn);
  const append = db.prepare(
    `INSERT INTO journal (run, kind, boot, mono_ms, wall_ms, body)
     VALUES (@run, @kind, @boot, @monoMs, @wallMs, @body)`,
  );
  return {
    nextSpeedRun: () => Number(speedRun.get()),
    keepSpeed: (partId, at, result) => {
      keepSpeed.run({ partId, ...at, ...speedColumns(result) });
    },
    startBurnIn: ({ partId, drive, erases, state, seed, plan }, started) => {
      const fields = { partId, drive, erases: erases ? 1 : 0, state, seed };
      const added = start.run({ ...fields, plan: JSON.stringify(plan), ...started });
      return Number(added.lastInsertRowid);
    },
    updateBurnIn: (run, at, state, verdict) => {
      const text = verdict === null ? null : JSON.stringify(verdict);
      if (update.run({ run, state, verdict: text, ...at }).changes === 0) {
        throw new Error(`Burn-in ${run} is not in the store`);
      }
    },
    appendJournal: (run, at, kind, body) => {
      const added = append.run({ run, kind, ...at, body: JSON.stringify(body) });
      return Number(added.lastInsertRowid);
    },
  };
}

function speedColumns(result: SpeedResult) {
  return {
    run: result.run,
    path: result.path,
    direction: result.direction,
    streams: result.streams,
    place: result.place ?? null,
    bytesPerSecond: result.bytesPerSecond,
    low: result.low,
    high: result.high,
    seconds: result.seconds,
    conditions: JSON.stringify(result.conditions),
    complete: result.complete ? 1 : 0,
    reason: result.reason ?? null,
    limit: result.limit === undefined ? null : JSON.stringify(result.limit),
    verdict: result.verdict,
  };
}
