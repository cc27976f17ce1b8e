import type { GuestEnd } from '../machine/guest-messages.js';
import type { Machine } from '../machine/machine.js';
import { until } from './guest-agent.js';

const runDeadlineMs = 240_000;
/** Each look starts a program inside, which slows down what it looks at. */
const lookEveryMs = 6000;

/** A run as `burn-in show --json` prints it; only what the cases look at. */
export interface PrintedRun {
  readonly run: number;
  readonly drive: string;
  readonly state: string;
  readonly verdict: {
    readonly advice: string;
    readonly reasons: readonly { readonly code: string; readonly measured: number | null }[];
    readonly proven: readonly string[];
  } | null;
}

/** Asks for an erasing burn-in; `typed` are the lines that a person would type. */
export function askForBurnIn(
  machine: Machine,
  serial: string,
  typed: readonly string[],
): Promise<GuestEnd> {
  return machine.run(['/bin/bayward', 'burn-in', 'start', serial, '--erase', '--json'], {
    input: typed.map((line) => `${line}\n`).join(''),
  });
}

/** Starts an erasing burn-in that must be taken on; gives its number. */
export async function startBurnIn(
  machine: Machine,
  serial: string,
  typed: readonly string[],
): Promise<number> {
  const end = await askForBurnIn(machine, serial, typed);
  if (end.status !== 0) throw new Error(`Burn-in of ${serial} was not started: ${end.complaints}`);
  return (JSON.parse(end.printed) as { run: number }).run;
}

export async function showRun(machine: Machine, run: number): Promise<PrintedRun> {
  const end = await machine.run(['/bin/bayward', 'burn-in', 'show', String(run), '--json']);
  if (end.printed === '') throw new Error(`Run ${run} was not shown: ${end.complaints}`);
  return JSON.parse(end.printed) as PrintedRun;
}

/** Waits for the verdict of a run. */
export function untilFinished(machine: Machine, run: number): Promise<PrintedRun> {
  const finished = async () => {
    const seen = await showRun(machine, run);
    return seen.state === 'finished' ? seen : null;
  };
  return until(`burn-in ${run} to finish`, finished, {
    deadlineMs: runDeadlineMs,
    pollMs: lookEveryMs,
  });
}
