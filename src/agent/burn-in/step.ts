import type { Reading } from '../../checks/reading.js';
import {
  type Command,
  complete,
  note,
  type ReadingStage,
  type RunEvent,
  stop,
  workOf,
} from './commands.js';
import type { Entry } from './journal.js';
import { applyEntry, currentStage, type RunState } from './run-state.js';
import { asked, progressed, recheckProgressed, workerEnded } from './worker-events.js';

export interface Step {
  readonly state: RunState;
  readonly commands: readonly Command[];
}

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
