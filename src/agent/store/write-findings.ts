/**
 * What is written: findings as `judge` opens, holds and clears them, and when each job last ran.
 * Each function runs inside a transaction of its caller.
 */
import type { Database } from 'better-sqlite3';
import type { FindingChange } from '../../checks/finding.js';
import type { JobRow } from './rows.js';

export interface FindingWriting {
  keepFindings(changes: readonly FindingChange[]): void;
  acknowledgeFinding(id: number): boolean;
  accountForFinding(id: number): boolean;
  jobRan(job: JobRow): void;
}

const insertFinding = `INSERT INTO finding (code, subject, place, state, urgency, measured,
    expected, unit, source, evidence, next_step, opened_boot, opened_mono_ms, opened_wall_ms,
    cleared_boot, cleared_wall_ms, cleared_why, acknowledged, accounted_for)
  VALUES (@code, @subject, @place, @state, @urgency, @measured, @expected, @unit, @source,
    @evidence, @nextStep, @openedBoot, @openedMonoMs, @openedWallMs, @clearedBoot,
    @clearedWallMs, @clearedWhy, @acknowledged, @accountedFor)`;

/** What a person acknowledged stays acknowledged, and what was opened keeps its opening. */
const updateFinding = `UPDATE finding SET state = @state, urgency = @urgency, measured = @measured,
    expected = @expected, unit = @unit, source = @source, evidence = @evidence,
    next_step = @nextStep, cleared_boot = @clearedBoot, cleared_wall_ms = @clearedWallMs,
    cleared_why = @clearedWhy
  WHERE id = @id`;

export function findingWriting(db: Database): FindingWriting {
  const insert = db.prepare(insertFinding);
  const update = db.prepare(updateFinding);
  const acknowledge = db.prepare('UPDATE finding SET acknowledged = 1 WHERE id = ?');
  const accountFor = db.prepare(
    'UPDATE finding SET acknowledged = 1, accounted_for = 1 WHERE id = ?',
  );
  const ran = db.prepare(
    `INSERT OR REPLACE INTO job
       (job, last_boot, last_mono_ms, last_wall_ms, last_powered_ms, outcome)
     VALUES (@job, @lastBoot, @lastMonoMs, @lastWallMs, @lastPoweredMs, @outcome)`,
  );

  const keepOne = ({ kind, finding }: FindingChange): void => {
    const { openedMonoMs, openedWallMs, clearedWallMs, ...rest } = finding;
    const row = {
      ...rest,
      openedMonoMs: Math.round(openedMonoMs),
      openedWallMs: Math.round(openedWallMs),
      clearedWallMs: clearedWallMs === null ? null : Math.round(clearedWallMs),
      state: kind === 'clear' ? 'cleared' : 'open',
      evidence: JSON.stringify(finding.evidence),
      acknowledged: finding.acknowledged ? 1 : 0,
      accountedFor: finding.accountedFor ? 1 : 0,
    };
    if (kind === 'open') {
      insert.run(row);
    } else if (update.run(row).changes === 0) {
      throw new Error(`Finding ${finding.id} is not in the store, so it cannot be changed`);
    }
  };
  return {
    keepFindings: (changes) => {
      for (const change of changes) {
        keepOne(change);
      }
    },
    acknowledgeFinding: (id) => acknowledge.run(id).changes > 0,
    accountForFinding: (id) => accountFor.run(id).changes > 0,
    jobRan: (job) => {
      ran.run({
        ...job,
        lastMonoMs: Math.round(job.lastMonoMs),
        lastWallMs: Math.round(job.lastWallMs),
        lastPoweredMs: Math.round(job.lastPoweredMs),
      });
    },
  };
}
