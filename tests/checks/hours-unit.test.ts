import { describe, expect, test } from 'vitest';
import { type CounterWatch, hoursUnit, unitOfSeconds } from '../../src/checks/hours-unit.js';

const hour = 3600;

/** Worked by hand: 38 h are 38 hours, 76 half hours, 2 280 minutes, 4 560 halves, 136 800 s. */
describe('after 38 watched hours in one stretch', () => {
  test.each([
    [38, 'hours'],
    [36, 'hours'],
    [76, 'half hours'],
    [2280, 'minutes'],
    // Written down up to an hour late at both ends, with 2 % of clock error: 2 280 · 0.98 − 61.
    [2174, 'minutes'],
    [4560, 'half minutes'],
    [136_800, 'seconds'],
    [140_000, 'seconds'],
  ] as const)('growth by %i is %s', (growth, unit) => {
    const answer = hoursUnit({ seconds: 38 * hour, growth, stretches: 1 });
    expect(answer.unit).toBe(unit);
  });

  test.each([0, 20, 50, 120, 1000, 2173, 3500, 20_000, 1_000_000, -5, Number.NaN])(
    'growth by %d is of no unit',
    (growth) => {
      const answer = hoursUnit({ seconds: 38 * hour, growth, stretches: 1 });
      expect(answer).toEqual({
        unit: null,
        words: 'Cannot be told: its growth fits no unit that is known here',
      });
    },
  );

  test('the evidence stands in the words', () => {
    expect(hoursUnit({ seconds: 38 * hour, growth: 2281, stretches: 1 })).toEqual({
      unit: 'minutes',
      seconds: 60,
      words: 'minutes: learned by watching 38 powered-on hours, in which it grew by 2\u202f281',
    });
  });
});

test('before ten watched hours nothing is told', () => {
  const words = 'Not told yet: it was watched for less than 10 hours';
  for (const seconds of [0, 9.99 * hour, Number.NaN]) {
    expect(hoursUnit({ seconds, growth: 600, stretches: 1 })).toEqual({ unit: null, words });
  }
  expect(hoursUnit({ seconds: 10 * hour, growth: 600, stretches: 1 }).unit).toBe('minutes');
});

test('stretches that are short against the lateness decide nothing', () => {
  // Twelve of 1 h: minutes make 720 ± 732, half minutes 1 440 ± 1 452, seconds 43 200 ± 43 212.
  const watch: CounterWatch = { seconds: 12 * hour, growth: 720, stretches: 12 };
  expect(hoursUnit(watch)).toEqual({
    unit: null,
    words: 'Not told yet: its growth fits minutes, half minutes and seconds',
  });
  // Hours make 12 ± 24, half hours 24 ± 36; 12 is also above the least that the others make.
  expect(hoursUnit({ ...watch, growth: 12 }).words).toBe(
    'Not told yet: its growth fits hours, half hours, minutes, half minutes and seconds',
  );
  // Thirty evenings of four hours: hours make 120 ± 60, half hours 240 ± 90.
  const evenings = { seconds: 120 * hour, stretches: 30 };
  expect(hoursUnit({ ...evenings, growth: 120 }).unit).toBe('hours');
  expect(hoursUnit({ ...evenings, growth: 240 }).unit).toBe('half hours');
});

test('a unit is kept as its seconds', () => {
  expect([3600, 1800, 60, 30, 1].map(unitOfSeconds)).toEqual([
    'hours',
    'half hours',
    'minutes',
    'half minutes',
    'seconds',
  ]);
  expect([0, 61, null].map(unitOfSeconds)).toEqual([null, null, null]);
});
