import type { BurnInState } from '../../checks/burn-in-result.js';
import {
  type BurnInStage,
  burnInStages,
  type PlaceErrorKind,
} from '../../checks/burn-in-result.js';
import type { BurnInEvidence, StageEvidence } from '../../checks/burn-in-verdict.js';
import type { Reading } from '../../checks/reading.js';
import { noTimes, type SurfaceTimes, slowPlaces, withTimes } from '../../checks/surface-times.js';
import type { Entry, EventBody, ProgressBody } from './journal.js';
import type { BurnInPlan } from './plan.js';

export interface StageState extends StageEvidence {
  /** Where the last committed stretch begins. */
  readonly lastFrom: number;
  readonly seconds: number;
}

/** Part of the written range that is verified again after an interruption. */
export interface Recheck {
  readonly fromByte: number;
  readonly toByte: number;
  readonly doneBytes: number;
  readonly badSectors: number;
  readonly afterPowerCut: boolean;
}

/** Where a run stands. It follows from the plan and the journal's rows, and from nothing else. */
export interface RunState {
  readonly plan: BurnInPlan;
  readonly stages: Readonly<Record<BurnInStage, StageState>>;
  readonly intent: { readonly fromByte: number; readonly toByte: number } | null;
  readonly before: readonly Reading[] | null;
  readonly after: readonly Reading[] | null;
  readonly pausedBy: 'person' | 'heat' | null;
  readonly interruptedBy: { readonly code: string; readonly text: string } | null;
  readonly stoppedBy: 'person' | 'protection' | null;
  readonly recheck: Recheck | null;
  /** Workers that failed since the last step along the drive. */
  readonly failures: number;
  readonly failuresInStage: number;
  readonly lostBy: string | null;
  readonly powerCuts: number;
  readonly lostAfterPowerCut: number;
  readonly temperatureHighest: number | null;
  readonly temperatureLimit: number | null;
  readonly enoughToReturn: boolean;
  readonly hasVerdict: boolean;
  readonly agentStopped: boolean;
  readonly readTimes: SurfaceTimes;
  readonly verifyTimes: SurfaceTimes;
}

const freshStage: StageState = {
  state: 'not-begun',
  doneBytes: 0,
  errors: {},
  unlocatedBytes: 0,
  lastFrom: 0,
  seconds: 0,
};

export function freshRun(plan: BurnInPlan): RunState {
  return {
    plan,
    stages: {
      'readings-before': freshStage,
      'full-read': freshStage,
      'stamped-write': freshStage,
      verify: freshStage,
      'readings-after': freshStage,
    },
    intent: null,
    before: null,
    after: null,
    pausedBy: null,
    interruptedBy: null,
    stoppedBy: null,
    recheck: null,
    failures: 0,
    failuresInStage: 0,
    lostBy: null,
    powerCuts: 0,
    lostAfterPowerCut: 0,
    temperatureHighest: null,
    temperatureLimit: null,
    enoughToReturn: false,
    hasVerdict: false,
    agentStopped: false,
    readTimes: noTimes,
    verifyTimes: noTimes,
  };
}

/** What one more row of the journal changes. Pure. */
export function applyEntry(state: RunState, entry: Entry): RunState {
  switch (entry.kind) {
    case 'intent': {
      const { stage, fromByte, toByte } = entry.body;
      return withStage({ ...state, intent: { fromByte, toByte } }, stage, { state: 'partly' });
    }
    case 'progress':
      return applyProgress(state, entry.body);
    case 'result':
      if ('verdict' in entry.body) return { ...state, hasVerdict: true };
      if ('readings' in entry.body) {
        const { readings, stage } = entry.body;
        const kept = stage === 'readings-before' ? { before: readings } : { after: readings };
        return withStage({ ...state, ...kept }, stage, { state: 'complete' });
      }
      return withStage(
        { ...state, intent: null, failures: 0, failuresInStage: 0 },
        entry.body.stage,
        { state: 'complete' },
      );
    case 'event':
      return applyEvent(state, entry.body);
  }
}

function withStage(state: RunState, stage: BurnInStage, change: Partial<StageState>): RunState {
  const stages = { ...state.stages, [stage]: { ...state.stages[stage], ...change } };
  return { ...state, stages };
}

function applyProgress(state: RunState, body: ProgressBody): RunState {
  const { stage } = body;
  const before = state.stages[stage];
  const moved = body.toByte > body.fromByte;
  const next = withStage(state, stage, {
    state: 'partly',
    doneBytes: Math.max(before.doneBytes, body.toByte),
    lastFrom: moved ? body.fromByte : before.lastFrom,
    errors: addErrors(before.errors, body),
    unlocatedBytes: before.unlocatedBytes + (body.unlocatedBytes ?? 0),
    seconds: before.seconds + body.seconds,
  });
  const times = stage === 'full-read' ? 'readTimes' : 'verifyTimes';
  const timed = stage === 'stamped-write' ? {} : { [times]: withTimes(state[times], body.places) };
  return { ...next, ...timed, intent: null, failures: moved ? 0 : state.failures };
}

export function addErrors(
  sums: Readonly<Partial<Record<PlaceErrorKind, number>>>,
  more: Pick<ProgressBody, 'errors' | 'unlisted'>,
): Readonly<Partial<Record<PlaceErrorKind, number>>> {
  const total = { ...sums };
  for (const { kind } of more.errors) total[kind] = (total[kind] ?? 0) + 1;
  for (const [kind, count] of Object.entries(more.unlisted ?? {})) {
    const known = kind as PlaceErrorKind;
    total[known] = (total[known] ?? 0) + count;
  }
  return total;
}

export function sumOf(errors: Readonly<Partial<Record<PlaceErrorKind, number>>>): number {
  return Object.values(errors).reduce((sum, count) => sum + count, 0);
}

/** Interruptions that say something about the drive or the way to it. */
const lossCodes: readonly string[] = ['drive-gone', 'stuck'];

function applyEvent(state: RunState, body: EventBody): RunState {
  switch (body.event) {
    case 'paused':
      return { ...state, pausedBy: state.pausedBy === 'person' ? 'person' : body.by };
    case 'resumed':
      return resumed(state);
    case 'stopped':
      return { ...state, stoppedBy: body.by, pausedBy: null, interruptedBy: null };
    case 'interrupted':
      return {
        ...state,
        interruptedBy: { code: body.code, text: body.text },
        lostBy: lossCodes.includes(body.code) ? body.code : state.lostBy,
      };
    case 'worker-failed':
      return withRecheck(
        { ...state, failures: state.failures + 1, failuresInStage: state.failuresInStage + 1 },
        false,
      );
    case 'agent-stopped':
      return { ...state, agentStopped: true };
    case 'restarted':
      return restarted(state, body.after === 'power-cut');
    case 'recheck':
      return recheckWent(state, body);
    case 'rechecked':
      return rechecked(state);
    case 'temperature':
      return {
        ...state,
        temperatureHighest: Math.max(state.temperatureHighest ?? body.celsius, body.celsius),
        temperatureLimit: body.limit,
      };
    case 'enough-to-return':
      return { ...state, enoughToReturn: true };
    case 'agreed':
      return state;
  }
}

/**
 * A drive's own memory holds up to some hundreds of MB. Verifying again starts this much before
 * the last stretch, so that the last stretch is read from the medium (common practice).
 */
const farEnoughBackBytes = 1024 ** 3;

function withRecheck(state: RunState, afterPowerCut: boolean): RunState {
  const written = state.stages['stamped-write'];
  const base = { ...state, intent: null };
  if (written.state !== 'partly' || written.doneBytes === 0) return { ...base, recheck: null };
  const fromByte = Math.max(0, written.lastFrom - farEnoughBackBytes);
  const toByte = written.doneBytes;
  // A power cut stays one until it is checked, however often work starts again in between.
  const cut = afterPowerCut || (state.recheck?.afterPowerCut ?? false);
  const recheck = { fromByte, toByte, doneBytes: fromByte, badSectors: 0, afterPowerCut: cut };
  return { ...base, recheck };
}

function restarted(state: RunState, afterPowerCut: boolean): RunState {
  const isOver = state.stoppedBy !== null;
  const base = {
    ...state,
    agentStopped: false,
    interruptedBy: null,
    failures: 0,
    failuresInStage: 0,
    powerCuts: state.powerCuts + (afterPowerCut ? 1 : 0),
  };
  return isOver ? { ...base, intent: null } : withRecheck(base, afterPowerCut);
}

/** Behind an interruption may lie a drive that lost its power, so what it held is verified. */
function resumed(state: RunState): RunState {
  const base = { ...state, pausedBy: null, failures: 0, failuresInStage: 0 };
  const { interruptedBy } = state;
  if (interruptedBy === null) return base;
  return withRecheck({ ...base, interruptedBy: null }, interruptedBy.code === 'drive-gone');
}

function recheckWent(state: RunState, body: Extract<EventBody, { event: 'recheck' }>): RunState {
  if (state.recheck === null) return state;
  const badSectors = state.recheck.badSectors + sumOf(addErrors({}, body));
  return { ...state, recheck: { ...state.recheck, doneBytes: body.toByte, badSectors } };
}

/** What did not hold is written again from the start of the part that was verified. */
function rechecked(state: RunState): RunState {
  const { recheck } = state;
  if (recheck === null) return state;
  const written = state.stages['stamped-write'];
  if (recheck.badSectors === 0) return { ...state, recheck: null };
  const again = { doneBytes: recheck.fromByte, lastFrom: recheck.fromByte };
  if (recheck.afterPowerCut) {
    const lostAfterPowerCut = state.lostAfterPowerCut + recheck.badSectors;
    return withStage({ ...state, recheck: null, lostAfterPowerCut }, 'stamped-write', again);
  }
  const errors = { ...written.errors };
  errors.damaged = (errors.damaged ?? 0) + recheck.badSectors;
  return withStage({ ...state, recheck: null }, 'stamped-write', { ...again, errors });
}

/** The stage that is under way or comes next; null when only the verdict is left. */
export function currentStage(state: RunState): BurnInStage | null {
  return state.plan.stages.find((stage) => state.stages[stage].state !== 'complete') ?? null;
}

export function stateWord(state: RunState): BurnInState {
  if (state.hasVerdict) return state.stoppedBy === null ? 'finished' : 'stopped';
  if (state.interruptedBy !== null) return 'interrupted';
  if (state.pausedBy !== null) return 'paused';
  return 'running';
}

export function evidenceOf(state: RunState): BurnInEvidence {
  const { plan } = state;
  return {
    erases: plan.erases,
    sizeBytes: plan.drive.sizeBytes,
    stages: state.stages,
    before: state.before,
    after: state.after,
    stoppedByPerson: state.stoppedBy === 'person',
    lostBy: state.lostBy,
    powerCuts: state.powerCuts,
    lostAfterPowerCut: state.lostAfterPowerCut,
    temperatureHighest: state.temperatureHighest,
    temperatureLimit: state.temperatureLimit,
    slowPlaces: slowPlaces(state.readTimes, state.verifyTimes),
    returnIsOpen: plan.returnIsOpen,
  };
}

/** Errors of all kinds so far, over all stages. */
export function errorCount(state: RunState): number {
  return burnInStages.reduce((sum, stage) => sum + sumOf(state.stages[stage].errors), 0);
}
