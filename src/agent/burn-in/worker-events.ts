import type { BurnInStage } from '../../checks/burn-in-result.js';
import { isEnoughToReturn } from '../../checks/burn-in-verdict.js';
import { proofSentences } from '../../checks/burn-in-words.js';
import type { StretchProgress } from '../workers/protocol-types.js';
import type { WorkerResult } from '../workers/worker.js';
import { type Command, complete, note, stop, workOf } from './commands.js';
import type { Entry, ProgressBody } from './journal.js';
import { applyEntry, currentStage, evidenceOf, type RunState } from './run-state.js';

/** Workers that may fail without a step along the drive between them, and in one stage. */
const failuresMax = 3;
const failuresInStageMax = 8;

/** Wait before another try, times the number of failures so far. */
const tryAgainMs = 3000;

/** A stretch may be written only where the plan stands, and only after its intent is durable. */
export function asked(
  state: RunState,
  range: { readonly fromByte: number; readonly toByte: number },
): readonly Command[] {
  const { fromByte, toByte } = range;
  const { plan } = state;
  const isNext =
    plan.erases &&
    state.recheck === null &&
    currentStage(state) === 'stamped-write' &&
    fromByte === state.stages['stamped-write'].doneBytes &&
    toByte > fromByte &&
    toByte <= plan.drive.sizeBytes &&
    toByte - fromByte <= plan.stretchBytes;
  if (state.stoppedBy !== null || state.interruptedBy !== null) return [{ do: 'end-worker' }];
  if (!isNext) return misbehaved(`The worker asked to write ${fromByte} to ${toByte}`);
  const body = { stage: 'stamped-write', fromByte, toByte, pass: plan.pass } as const;
  return [{ do: 'append', entry: { kind: 'intent', body } }, { do: 'let-write' }];
}

function misbehaved(text: string): readonly Command[] {
  return [
    note({ event: 'interrupted', code: 'worker-misbehaved', text: `${text}, out of turn` }),
    { do: 'end-worker' },
  ];
}

export function progressed(state: RunState, progress: StretchProgress): readonly Command[] {
  const stage = currentStage(state);
  const { fromByte, toByte } = progress;
  if (stage === null || !(stage in workOf) || fromByte !== state.stages[stage].doneBytes) {
    return misbehaved(`The worker reported ${fromByte} to ${toByte}`);
  }
  const limit =
    stage === 'stamped-write' ? (state.intent?.toByte ?? fromByte) : state.plan.drive.sizeBytes;
  if (toByte < fromByte || toByte > limit) {
    return misbehaved(`The worker reported ${fromByte} to ${toByte}`);
  }
  const entry: Entry = { kind: 'progress', body: progressBody(stage, progress) };
  const after = applyEntry(state, entry);
  return [
    { do: 'append', entry },
    ...toldOnce(after),
    ...againstOverwriting(state, { stage, unknownAt: progress.unknownAt }),
  ];
}

function progressBody(stage: BurnInStage, progress: StretchProgress): ProgressBody {
  const { fromByte, toByte, seconds } = progress;
  const bytesPerSecond = seconds > 0 && toByte > fromByte ? (toByte - fromByte) / seconds : null;
  return {
    stage,
    fromByte,
    toByte,
    seconds,
    bytesPerSecond,
    errors: [...progress.errors],
    unlisted: progress.unlisted,
    unlocatedBytes: progress.unlocatedBytes,
    unknownAt: progress.unknownAt,
    places: progress.places === undefined ? undefined : [...progress.places],
  };
}

function toldOnce(state: RunState): readonly Command[] {
  if (state.enoughToReturn || !isEnoughToReturn(evidenceOf(state))) return [];
  return [note({ event: 'enough-to-return', text: proofSentences.enoughToReturn })];
}

/** The full read sees every sector: what the samples missed stops the run before it writes. */
function againstOverwriting(
  state: RunState,
  found: { readonly stage: BurnInStage; readonly unknownAt: number | undefined },
): readonly Command[] {
  const { plan } = state;
  if (!plan.erases || found.stage !== 'full-read' || found.unknownAt === undefined) return [];
  if (plan.consented.includes('unknown-data')) return [];
  const text = `Data of unknown kind stands at byte ${found.unknownAt}, and nobody agreed to erase it`;
  return stop('protection', text);
}

export function recheckProgressed(state: RunState, progress: StretchProgress): readonly Command[] {
  const { recheck } = state;
  const { fromByte, toByte, seconds } = progress;
  if (recheck === null || fromByte !== recheck.doneBytes || toByte > recheck.toByte) {
    return misbehaved(`The worker reported ${fromByte} to ${toByte}`);
  }
  const { unlisted, unlocatedBytes } = progress;
  const errors = [...progress.errors];
  return [note({ event: 'recheck', fromByte, toByte, seconds, errors, unlisted, unlocatedBytes })];
}

function recheckDone(state: RunState): readonly Command[] {
  const { recheck, plan } = state;
  if (recheck === null) return [];
  const { fromByte, toByte, badSectors } = recheck;
  if (badSectors * plan.drive.logicalBlockBytes >= toByte - fromByte) {
    const text = 'Nothing of what this run has written is on the drive any more';
    return [note({ event: 'interrupted', code: 'not-same-drive', text })];
  }
  return [note({ event: 'rechecked', fromByte, toByte }), { do: 'go-on' }];
}

/** Ends of a worker that another try may mend. */
const worthAnotherTry: readonly string[] = ['too-slow', 'flush-failed', 'held'];

export function workerEnded(state: RunState, result: WorkerResult): readonly Command[] {
  const { reason, code, text } = result;
  if (reason === 'cancelled' || state.stoppedBy !== null || state.interruptedBy !== null) {
    return [{ do: 'go-on' }];
  }
  if (reason === 'done') return workDone(state);
  if (reason === 'stuck') return [note({ event: 'interrupted', code: 'stuck', text })];
  if (reason === 'refused' && !worthAnotherTry.includes(code ?? '')) {
    return [note({ event: 'interrupted', code: code ?? 'refused', text })];
  }
  return failedWorker(state, { code: code ?? reason, text });
}

function workDone(state: RunState): readonly Command[] {
  const { recheck } = state;
  if (recheck !== null && recheck.doneBytes >= recheck.toByte) return recheckDone(state);
  const stage = currentStage(state);
  const isWhole = stage !== null && state.stages[stage].doneBytes >= state.plan.drive.sizeBytes;
  if (recheck === null && isWhole) return complete(stage);
  return failedWorker(state, {
    code: 'ended-early',
    text: 'The worker ended before its range did',
  });
}

function failedWorker(
  state: RunState,
  failure: { readonly code: string; readonly text: string },
): readonly Command[] {
  const failed = note({ event: 'worker-failed', ...failure });
  // A worker of an agent that was killed may hold the drive until its last block is done.
  const isPatient = failure.code === 'held';
  const failures = state.failures + 1;
  const mayTryAgain =
    (isPatient || failures < failuresMax) && state.failuresInStage + 1 < failuresInStageMax;
  if (mayTryAgain) return [failed, { do: 'go-on', afterMs: failures * tryAgainMs }];
  return [failed, note({ event: 'interrupted', ...failure })];
}
