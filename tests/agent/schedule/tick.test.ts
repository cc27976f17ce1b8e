import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import type { Clock } from '../../../src/agent/clock.js';
import { everyMinute } from '../../../src/agent/schedule/tick.js';

const minute = 60_000;
const day = 24 * 60 * minute;

let elapsedMs: number;
let ticks: number;

const clock: Clock = {
  bootId: 'boot-1',
  bootMs: () => elapsedMs,
  wallMs: () => Date.now(),
  sleep: async () => undefined,
};

beforeEach(() => {
  elapsedMs = 0;
  ticks = 0;
  vi.useFakeTimers({ now: Date.UTC(2026, 0, 1, 0, 0, 10) });
});

afterEach(() => {
  vi.useRealTimers();
});

const onTick = async (): Promise<void> => {
  ticks += 1;
};

async function pass(ms: number): Promise<void> {
  for (let done = 0; done < ms; done += 1000) {
    elapsedMs += 1000;
    await vi.advanceTimersByTimeAsync(1000);
  }
}

test('one tick at once, then one each minute, until it is stopped', async () => {
  const stop = everyMinute(clock)(onTick);
  expect(ticks).toBe(1);
  await pass(10 * minute);
  expect(ticks).toBe(11);
  stop();
  await pass(5 * minute);
  expect(ticks).toBe(11);
  expect(vi.getTimerCount()).toBe(0);
});

test.each([-400 * day, -day, -2 * 60 * minute, day, 400 * day])(
  'a step of the calendar by %i ms neither silences nor floods',
  async (step) => {
    const stop = everyMinute(clock)(onTick);
    await pass(5 * minute);
    const before = ticks;
    vi.setSystemTime(Date.now() + step);
    await pass(10 * minute);
    const after = ticks - before;
    expect(after).toBeGreaterThanOrEqual(8);
    expect(after).toBeLessThanOrEqual(12);
    stop();
  },
);
