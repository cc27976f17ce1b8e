import type { BurnInVerdict } from '../../checks/burn-in-result.js';
import type { DriveSeen } from '../../checks/part.js';
import type { BurnInRow, JournalRow } from '../store/rows.js';
import { decodeEntry } from './journal.js';
import { type BurnInPlan, decodePlan } from './plan.js';
import { applyEntry, freshRun, type RunState } from './run-state.js';

/** A run as the store tells it, or why it must be left alone. */
export type LoadedRun =
  | { readonly ok: true; readonly state: RunState; readonly lastBoot: number }
  | { readonly ok: false; readonly why: string };

/** Rebuilds a run from its plan and its journal alone. Pure; never throws. */
export function loadRun(row: BurnInRow, journal: readonly JournalRow[]): LoadedRun {
  const plan = decodePlan(row.plan);
  if (plan === null) {
    return { ok: false, why: `The plan of burn-in ${row.run} is of a kind not known here` };
  }
  let state = freshRun(plan);
  for (const entry of journal) {
    const decoded = decodeEntry(entry);
    if (decoded === null) {
      const why = `Entry ${entry.entry} of the journal of burn-in ${row.run} is of a kind not known here`;
      return { ok: false, why };
    }
    state = applyEntry(state, decoded);
  }
  return { ok: true, state, lastBoot: journal.at(-1)?.at.boot ?? row.started.boot };
}

/** The verdict that the journal holds already, when only the run's own row was not updated. */
export function verdictIn(journal: readonly JournalRow[]): BurnInVerdict | null {
  for (const { kind, body } of journal) {
    if (kind === 'result' && 'verdict' in body) return body.verdict as BurnInVerdict;
  }
  return null;
}

/** Whether this is the drive of the plan. Null means the same; otherwise a sentence. */
export function driveDiffers(plan: BurnInPlan, drive: DriveSeen): string | null {
  const pairs: readonly (readonly [string, string | number, string | number])[] = [
    ['identity', plan.drive.identityKey, drive.identityKey],
    ['model', plan.drive.model, drive.model],
    ['serial number', plan.drive.serial, drive.serial],
    ['size', plan.drive.sizeBytes, drive.capacityBytes],
    ['sector size', plan.drive.logicalBlockBytes, drive.logicalBlockBytes],
  ];
  const different = pairs.find(([, planned, found]) => planned !== found);
  return different === undefined ? null : `The drive has another ${different[0]} than planned`;
}

/**
 * Whether a drive without a serial number can be held for the same one. In the same boot its disk
 * sequence tells. After that only what this run has written to it can, which is verified first.
 */
export function canProveSame(state: RunState, drive: DriveSeen): boolean {
  const { plan, stages } = state;
  if (plan.drive.serial !== '' || !plan.erases) return true;
  const planned = plan.drive.diskSequence;
  if (planned !== null && planned === drive.diskSequence) return true;
  return stages['stamped-write'].state === 'partly' && stages['stamped-write'].doneBytes > 0;
}
