import { afterAll, beforeAll, expect, test } from 'vitest';
import { sleepers } from './full-box.js';
import { type FullRounds, fullRounds } from './full-rounds.js';
import { processorMs } from './spent.js';

let rounds: FullRounds;
beforeAll(async () => {
  rounds = await fullRounds();
}, 120_000);
afterAll(() => rounds.end());

/** A round over all counters of 24 drives, decoded and stored, stays below this. */
const roundMsMax = 100;

test('one round over 24 drives is decoded and stored in less than 100 ms of processor time', async () => {
  expect(rounds.drives).toBe(24);
  const spent: number[] = [];
  // Machines are noisy and code warms up: what counts is what a round can take.
  for (let round = 0; round < 24; round += 1) {
    await rounds.fiveMinutes();
    spent.push(await processorMs(() => rounds.counters()));
  }
  const drives = rounds.store.parts().filter(({ kind }) => kind === 'drive');
  const measured = drives.map(
    ({ id }) => rounds.store.latest(id).filter(({ state }) => state === 'measured').length,
  );
  // Each drive that is awake was really read: an identity alone gives no such number of figures.
  expect(measured.filter((count) => count >= 10)).toHaveLength(20);
  expect(Math.min(...spent)).toBeLessThan(roundMsMax);
}, 60_000);

test('none of those that slept was woken to be asked', () => {
  const names = sleepers(rounds.asked);
  expect(names).toHaveLength(4);
  for (const serial of names) {
    const { standby, wokenBy } = rounds.asked.seat(serial).drive.state;
    expect({ serial, standby, wokenBy }).toEqual({ serial, standby: true, wokenBy: [] });
  }
});
