import { expect, test } from 'vitest';
import {
  type BootTimes,
  earliestPlausibleWallMs,
  trustAtBoot,
  wallMove,
} from '../../../src/agent/store/wall-trust.js';
import { day, hour, newYear } from './temporary-store.js';

const reset = Date.UTC(1970, 0, 1);

function boot(id: number, startedWall: number, more: Partial<BootTimes> = {}): BootTimes {
  return { id, startedWall, lastWallMs: startedWall + hour, wallTrusted: true, ...more };
}

const wrong = (id: number, startedWall: number) => boot(id, startedWall, { wallTrusted: false });

test.each([
  ['the first boot', [], newYear, true, []],
  ['a boot after the last', [boot(1, newYear)], newYear + day, true, []],
  ['exactly where the last boot ended', [boot(1, newYear)], newYear + hour, true, []],
  ['one millisecond before the last boot ended', [boot(1, newYear)], newYear + hour - 1, false, []],
  ['a calendar that was reset', [], reset, false, []],
  ['just before the earliest plausible day', [], earliestPlausibleWallMs - 1, false, []],
  ['just at the earliest plausible day', [], earliestPlausibleWallMs, true, []],
  [
    'an untrusted future boot does not count against this one',
    [boot(1, newYear), wrong(2, newYear + 5000 * day)],
    newYear + day,
    true,
    [],
  ],
  [
    'the first boot after one in the far future is not believed',
    [boot(1, newYear), boot(2, newYear + 5000 * day)],
    newYear + day,
    false,
    [],
  ],
  [
    'the second one that agrees with it is, and the one in the future loses its trust',
    [boot(1, newYear), boot(2, newYear + 5000 * day), wrong(3, newYear + day)],
    newYear + 2 * day,
    true,
    [2],
  ],
  [
    'two boots that both start at the reset time do not agree',
    [boot(1, newYear + day), wrong(2, newYear)],
    newYear,
    false,
    [],
  ],
  [
    'boots before the earliest plausible day never outvote anything',
    [boot(1, newYear), wrong(2, reset)],
    reset + day,
    false,
    [],
  ],
] as const)('%s', (_name, earlier, wallMs, trusted, distrusted) => {
  expect(trustAtBoot(earlier, wallMs)).toEqual({ trusted, distrusted });
});

const minute = 60_000;

test.each([
  ['no change', { monoMs: hour, wallMs: newYear + hour }, 'steady'],
  ['a correction below a minute', { monoMs: hour, wallMs: newYear + hour + 59_999 }, 'steady'],
  ['back by a minute', { monoMs: hour, wallMs: newYear + hour - minute }, 'stepped'],
  ['forward by a minute, late', { monoMs: hour, wallMs: newYear + hour + minute }, 'stepped'],
  ['forward, soon after boot', { monoMs: 15 * minute, wallMs: newYear + day }, 'set'],
  ['forward, just too late', { monoMs: 15 * minute + 1, wallMs: newYear + day }, 'stepped'],
  ['back, soon after boot', { monoMs: minute, wallMs: newYear - day }, 'stepped'],
] as const)('a move of the calendar: %s', (_name, move, expected) => {
  expect(wallMove({ offsetMs: newYear, newestEarlierMs: null, ...move })).toBe(expected);
});

test('a clock that is set to before the last boot was not put right', () => {
  const move = { offsetMs: reset, monoMs: minute, wallMs: newYear };
  expect(wallMove({ ...move, newestEarlierMs: newYear - 1 })).toBe('set');
  expect(wallMove({ ...move, newestEarlierMs: newYear + 1 })).toBe('stepped');
});
