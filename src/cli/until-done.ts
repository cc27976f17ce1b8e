import { setTimeout as wait } from 'node:timers/promises';
import type { Places } from '../agent/places.js';
import { agentStatus } from './ask.js';

const pollMs = 500;

/** Waits until none of these measurements is under way, or the agent does not answer any more. */
export async function untilDone(places: Places, runs: readonly number[]): Promise<void> {
  for (;;) {
    const status = await agentStatus(places);
    if (status === null) return;
    const open = status.running.filter(({ kind, run }) => kind === 'speed' && runs.includes(run));
    if (open.length === 0) return;
    await wait(pollMs);
  }
}
