import { expect, test } from 'vitest';
import { onBootClock } from '../../../src/agent/probes/log-time.js';

const at = (monoMs: number, text = 'Linux') => ({ sequence: 1, monoMs, level: 6, text });

test('without a suspend the moments stay as they are', () => {
  const now = { bootMs: 90_000, suspendedMs: 0 };
  const records = onBootClock([at(1000), at(60_000)], { before: null, now });
  expect(records.map(({ monoMs }) => monoMs)).toEqual([1000, 60_000]);
});

/** The processor's clock stood still for an hour; the line after it is an hour later. */
test('time asleep counts for the lines after it', () => {
  const records = onBootClock([at(50_000), at(60_000, 'PM: suspend exit'), at(61_000)], {
    before: { bootMs: 40_000, suspendedMs: 0 },
    now: { bootMs: 3_665_000, suspendedMs: 3_600_000 },
  });
  expect(records.map(({ monoMs }) => monoMs)).toEqual([50_000, 3_660_000, 3_661_000]);
});

test('a clock that drifts puts no line before the reading before nor after this one', () => {
  const records = onBootClock([at(39_000), at(91_000)], {
    before: { bootMs: 40_000, suspendedMs: 0 },
    now: { bootMs: 90_000, suspendedMs: 0 },
  });
  expect(records.map(({ monoMs }) => monoMs)).toEqual([40_000, 90_000]);
});
