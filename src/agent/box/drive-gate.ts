import { type Answer, missing } from './box.js';

/**
 * Keeps a silent drive's trouble its own. Each drive has a queue: one command at a time, and a
 * deadline for each. A command that is overdue is answered `timed-out` but cannot be called
 * back: until it returns, its thread is lost and everything else for that drive is answered
 * `busy` at once. So a drive holds at most one thread for commands, however often it is asked.
 */
export interface DriveGate {
  /** Waits for the commands before it; the deadline runs from its own start. */
  command<T>(drive: string, work: Work<T>): Promise<Answer<T>>;
  /** Starts at once beside others (block transfers); shares the drive's overdue state. */
  transfer<T>(drive: string, work: Work<T>): Promise<Answer<T>>;
}

export interface Work<T> {
  readonly name: string;
  readonly deadlineMs: number;
  run(): Promise<Answer<T>>;
}

/** Calls `fire` after `ms` unless the returned function is called before. */
export type StartTimer = (ms: number, fire: () => void) => () => void;

interface Lane {
  running: boolean;
  readonly waiting: Array<{ start(): void; refuse(): void }>;
  /** By the piece of work, since two may have one name. */
  readonly overdue: Set<{ readonly name: string }>;
}

export function makeDriveGate(startTimer: StartTimer): DriveGate {
  const lanes = new Map<string, Lane>();

  function laneOf(drive: string): Lane {
    const known = lanes.get(drive);
    if (known) return known;
    const lane: Lane = { running: false, waiting: [], overdue: new Set() };
    lanes.set(drive, lane);
    return lane;
  }

  function forgetIdle(drive: string, lane: Lane): void {
    const idle = !lane.running && lane.waiting.length === 0 && lane.overdue.size === 0;
    if (idle && lanes.get(drive) === lane) lanes.delete(drive);
  }

  function refusal<T>(lane: Lane, work: Work<T>): Answer<T> {
    const silent = [...lane.overdue].map((one) => one.name).join(', ');
    return missing('busy', `Not asked for ${work.name}: ${silent} has still not been answered`);
  }

  /** Runs work under its deadline; `returned` is called when it really ended, overdue or not. */
  function underDeadline<T>(lane: Lane, work: Work<T>, returned: () => void): Promise<Answer<T>> {
    return new Promise((resolve) => {
      const stopTimer = startTimer(work.deadlineMs, () => {
        lane.overdue.add(work);
        resolve(missing('timed-out', `No answer to ${work.name} in ${work.deadlineMs} ms`));
        for (const next of lane.waiting.splice(0)) next.refuse();
      });
      const end = (answer: Answer<T>) => {
        stopTimer();
        lane.overdue.delete(work);
        returned();
        resolve(answer);
      };
      safely(work).then(end);
    });
  }

  function startCommand<T>(drive: string, work: Work<T>): Promise<Answer<T>> {
    const lane = laneOf(drive);
    lane.running = true;
    return underDeadline(lane, work, () => {
      lane.running = false;
      lane.waiting.shift()?.start();
      forgetIdle(drive, lane);
    });
  }

  return {
    command(drive, work) {
      const lane = laneOf(drive);
      if (lane.overdue.size > 0) return Promise.resolve(refusal(lane, work));
      if (!lane.running) return startCommand(drive, work);
      return new Promise((resolve) => {
        lane.waiting.push({
          start: () => void startCommand(drive, work).then(resolve),
          refuse: () => resolve(refusal(lane, work)),
        });
      });
    },
    transfer(drive, work) {
      const lane = laneOf(drive);
      if (lane.overdue.size > 0) return Promise.resolve(refusal(lane, work));
      return underDeadline(lane, work, () => forgetIdle(drive, lane));
    },
  };
}

/** Work that throws is a fault of ours, but it must not leave the drive's queue shut. */
async function safely<T>(work: Work<T>): Promise<Answer<T>> {
  try {
    return await work.run();
  } catch (error) {
    return missing('aborted', `${work.name} broke off: ${String(error)}`);
  }
}
