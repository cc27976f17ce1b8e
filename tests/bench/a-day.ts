import type { FullRounds } from './full-rounds.js';
import { writtenBytes } from './spent.js';

const roundsPerDay = 288;
const countersEach = roundsPerDay / 6;

/** Lives through a day at the usual pace; gives the bytes that were written meanwhile. */
export async function bytesOfDay(rounds: FullRounds): Promise<number> {
  const before = writtenBytes();
  for (let round = 0; round < roundsPerDay; round += 1) {
    await rounds.fiveMinutes();
    // Ten minutes after the start, then each four hours.
    if (round % countersEach === 2) await rounds.counters();
  }
  return writtenBytes() - before;
}
