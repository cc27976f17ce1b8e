import type { BurnInStage } from '../../checks/burn-in-result.js';
import { isEnoughToReturn } from '../../checks/burn-in-verdict.js';
import { proofSentences } from '../../checks/burn-in-words.js';
import type { Reading } from '../../checks/reading.js';
import type { StretchProgress } from '../workers/protocol-types.js';
import type { WorkerResult } from '../workers/worker.js';
import type { Entry, EventBody, ProgressBody } from './journal.js';
import { applyEntry, currentStage, evidenceOf, type RunState } from './run-state.js';

/** What happens to a run. */
export type RunEvent =
  /** Nothing is under way: what comes next? */
  | { readonly event: 'go-on' }
  | { readonly event: 'asked'; readonly fromByte: number; readonly toByte: number }
  | { readonly event: 'progress'; readonly progress: StretchProgress }
  | { readonly event: 'worker-ended'; readonly result: WorkerResult }
  | {
      readonly event: 'readings';
      readonly stage: ReadingStage;
      readonly readings: readonly Reading[];
    }
  | { readonly event: 'temperature'; readonly celsius: number; readonly limit: number | null }
  | { readonly event: 'pause' | 'resume' | 'stop' }
  /** The drive of the plan is not to be found, or not surely the same. */
  | { readonly event: 'missing'; readonly text: string }
  | {
      readonly event: 'restarted';
      readonly after: 'power-cut' | 'stop-of-agent' | 'end-of-agent';
    };

export type ReadingStage = 'readings-before' | 'readings-after';

export interface WorkOrder {
  readonly do: 'read' | 'write' | 'verify';
  readonly fromByte: number;
  readonly toByte: number;
}

/** What the engine must do, in this order. Entries are durable before the next command. */
export type Command =
  | { readonly do: 'append'; readonly entry: Entry }
  | { readonly do: 'work'; readonly order: WorkOrder }
  | { readonly do: 'let-write' }
  | { readonly do: 'pause-worker' }
  | { readonly do: 'unpause' }
  | { readonly do: 'end-worker' }
  | { readonly do: 'take-readings'; readonly stage: ReadingStage }
  | { readonly do: 'give-verdict' }
  | { readonly do: 'go-on'; readonly afterMs?: number };

export interface Step {
  readonly state: RunState;
  readonly commands: readonly Command[];
}

/** Workers that may fail without a step along the drive between them, and in one stage. */
const failuresMax = 3;
const failuresInStageMax = 8;

/** Wait before another try, times the number of failures so far. */
const tryAgainMs = 3000;

/** Without a limit of the drive's own (common practice, no source). */
const pauseCelsiusUsual = 55;
const pauseBelowLimit = 5;
const resumeBelowPause = 5;

/**
 * One step of a run: a pure table of state and event. Nothing happens that is not first a row:
 * the new state is the old one with the appended entries applied.
 */
export function step(state: RunState, event: RunEvent): Step {
  const commands = decide(state, event);
  const next = commands.reduce(
    (sum, command) => (command.do === 'append' ? applyEntry(sum, command.entry) : sum),
    state,
  );
  return { state: next, commands };
}

function decide(state: RunState, event: RunEvent): readonly Command[] {
  if (state.hasVerdict) return event.event === 'asked' ? [{ do: 'end-worker' }] : [];
  switch (event.event) {
    case 'go-on':
      return next(state);
    case 'asked':
      return asked(state, event);
    case 'progress':
      return state.recheck === null
        ? progressed(state, event.progress)
        : recheckProgressed(state, event.progress);
    case 'worker-ended':
      return workerEnded(state, event.result);
    case 'readings':
      return readingsCame(event.stage, event.readings);
    case 'temperature':
      return temperatureCame(state, event);
    case 'pause':
      return [note({ event: 'paused', by: 'person', text: 'Paused' }), { do: 'pause-worker' }];
    case 'resume':
      return [note({ event: 'resumed', by: 'person' }), { do: 'unpause' }];
    case 'stop':
      return stop('person', 'Stopped by request');
    case 'missing':
      return [note({ event: 'interrupted', code: 'drive-missing', text: event.text })];
    case 'restarted':
      return [note({ event: 'restarted', after: event.after, text: restartText[event.after] })];
  }
}

const restartText = {
  'power-cut': 'The box lost power or was switched off hard; not held against the drive',
  'stop-of-agent': 'The agent was stopped and started again',
  'end-of-agent': 'The agent ended without a word and was started again',
} as const;

function note(body: EventBody): Command {
  return { do: 'append', entry: { kind: 'event', body } };
}

function stop(by: 'person' | 'protection', text: string): readonly Command[] {
  return [note({ event: 'stopped', by, text }), { do: 'end-worker' }, { do: 'go-on' }];
}

/** What comes next when nothing is under way. */
function next(state: RunState): readonly Command[] {
  if (state.stoppedBy !== null) {
    const mayRead = state.before !== null && state.after === null && state.lostBy === null;
    return [mayRead ? { do: 'take-readings', stage: 'readings-after' } : { do: 'give-verdict' }];
  }
  if (state.pausedBy !== null || state.interruptedBy !== null) return [];
  if (state.recheck !== null) {
    const { doneBytes, toByte } = state.recheck;
    return [{ do: 'work', order: { do: 'verify', fromByte: doneBytes, toByte } }];
  }
  const stage = currentStage(state);
  if (stage === null) return [{ do: 'give-verdict' }];
  if (stage === 'readings-before' || stage === 'readings-after') {
    return [{ do: 'take-readings', stage }];
  }
  const kind = workOf[stage];
  const { doneBytes } = state.stages[stage];
  const toByte = state.plan.drive.sizeBytes;
  if (doneBytes >= toByte) return complete(stage);
  return [{ do: 'work', order: { do: kind, fromByte: doneBytes, toByte } }];
}

const workOf: Readonly<Record<Exclude<BurnInStage, ReadingStage>, WorkOrder['do']>> = {
  'full-read': 'read',
  'stamped-write': 'write',
  verify: 'verify',
};

function complete(stage: BurnInStage): readonly Command[] {
  const entry = { kind: 'result', body: { stage, outcome: 'complete' } } as const;
  return [{ do: 'append', entry }, { do: 'go-on' }];
}

/** A stretch may be written only where the plan stands, and only after its intent is durable. */
function asked(
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

function progressed(state: RunState, progress: StretchProgress): readonly Command[] {
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

function recheckProgressed(state: RunState, progress: StretchProgress): readonly Command[] {
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

function workerEnded(state: RunState, result: WorkerResult): readonly Command[] {
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

function readingsCame(stage: ReadingStage, readings: readonly Reading[]): readonly Command[] {
  const entry: Entry = { kind: 'result', body: { stage, readings: [...readings] } };
  return [{ do: 'append', entry }, { do: 'go-on' }];
}

/** Pauses 5 °C below the drive's own limit and goes on when it has cooled by 5 °C more. */
function temperatureCame(
  state: RunState,
  heat: { readonly celsius: number; readonly limit: number | null },
): readonly Command[] {
  const { celsius } = heat;
  if (!Number.isFinite(celsius)) return [];
  const ownLimit = heat.limit !== null && Number.isFinite(heat.limit) ? heat.limit : null;
  const limit = ownLimit ?? pauseCelsiusUsual + pauseBelowLimit;
  const pauseAt = limit - pauseBelowLimit;
  const isHighest = celsius > (state.temperatureHighest ?? Number.NEGATIVE_INFINITY);
  const kept = isHighest ? [note({ event: 'temperature', celsius, limit: ownLimit })] : [];
  if (celsius >= pauseAt && state.pausedBy === null) {
    const text = `The drive has ${celsius} °C, work goes on below ${pauseAt - resumeBelowPause} °C; point a fan at it`;
    return [...kept, note({ event: 'paused', by: 'heat', text }), { do: 'pause-worker' }];
  }
  if (celsius < pauseAt - resumeBelowPause && state.pausedBy === 'heat') {
    return [...kept, note({ event: 'resumed', by: 'heat' }), { do: 'unpause' }];
  }
  return kept;
}
