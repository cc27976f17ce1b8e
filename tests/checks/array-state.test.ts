import { expect, test } from 'vitest';
import { arrayActivity, mayFailAtLevel, mayFailWithProfile } from '../../src/checks/array-state.js';
import { arrayClauses } from '../../src/checks/array-words.js';
import { safeToSwitchOff } from '../../src/checks/safe-to-switch-off.js';

function kept(metric: string, value: number | null, text = '', place = '') {
  return { metric, value, text, place, unit: 'count' as const };
}

test.each([
  [0, 'nothing'],
  [1, 'rebuilding'],
  [2, 'rebuilding'],
  [3, 'reshaping'],
  [4, 'checking'],
  [5, 'checking'],
  [6, 'nothing'],
  [7, 'reshaping'],
])('work with code %i counts as %s', (code, doing) => {
  const figures = [kept('array-work', code), kept('array-may-still-fail', 1)];
  expect(arrayActivity('array-tapes', figures)).toEqual({
    name: 'array-tapes',
    doing,
    mayStillFail: 1,
    secondsLeft: null,
  });
});

test('an array that does not tell its work has no activity, and unknown spares count as none', () => {
  expect(arrayActivity('array-tapes', [kept('array-work', null)])).toBe(null);
  expect(arrayActivity('array-tapes', [])).toBe(null);
  const rebuilding = arrayActivity('array-tapes', [kept('array-work', 2)]);
  expect(rebuilding?.mayStillFail).toBe(0);
  const arrays = rebuilding === null ? [] : [rebuilding];
  expect(safeToSwitchOff({ running: [], arrays, selfTests: [], nowMs: 0 }).answer).toBe(
    'no-danger',
  );
});

test.each([
  ['raid1', 3, null, 2],
  ['raid5', 4, null, 1],
  ['raid6', 6, null, 2],
  ['raid10', 4, 2, 1],
  ['raid10', 4, null, null],
  ['raid0', 2, null, 0],
  ['raid99', 2, null, null],
])('%s of %i members, %s copies: %s may fail', (level, members, copies, may) => {
  expect(mayFailAtLevel(level, { members, copies })).toBe(may);
});

test('profiles of btrfs', () => {
  expect(['single', 'raid1', 'raid1c4', 'raid6', 'raid7'].map(mayFailWithProfile)).toEqual([
    0,
    1,
    3,
    2,
    null,
  ]);
});

test('clauses name what is missing, what is done and which member is out', () => {
  expect(
    arrayClauses([
      kept('array-state', 0, 'running'),
      kept('array-members-missing', 1),
      kept('array-may-still-fail', 0),
      kept('array-work', 2, 'rebuilding a member'),
      { ...kept('array-work-done', 25), unit: 'percent' },
      kept('array-work-left', 39_070),
      kept('array-mismatches', 128),
      kept('array-member-state', 2, 'thrown out as faulty', 'TVN4410A'),
      kept('array-member-state', 0, 'in step', 'TVN4410B'),
    ]),
  ).toEqual([
    'running',
    'degraded, one missing (TVN4410A), no drive to spare now, the next failure loses data',
    'rebuilding a member, 25 % done, about 10 h 51 min left',
    'copies disagreed in up to 128 sectors',
    'TVN4410A: thrown out as faulty',
  ]);
  expect(arrayClauses([kept('array-members-missing', null)])).toEqual([
    'missing members are not told',
  ]);
});

test('clauses begin with the protection, and name members as the page does', () => {
  const clauses = arrayClauses(
    [
      kept('array-protection', 2, 'RAID 6 of 5 members, any two may fail'),
      kept('array-members-missing', 1),
      kept('array-may-still-fail', 1),
      kept('array-work', 0, 'nothing'),
      kept('array-last-check', 1_764_000_000, 'whole check seen to end 2025-11-24 16:00 UTC'),
      kept('array-member-state', 3, 'missing, it was a member before', 'TVN4410A'),
      kept('array-member-state', 4, 'spare', 'TVN4410C'),
      kept('array-member-state', 5, 'no longer a member', 'TVN4410D'),
    ],
    (serial) => `Bay 3 · ${serial.slice(-4)}`,
  );
  expect(clauses).toEqual([
    'RAID 6 of 5 members, any two may fail',
    'degraded, one missing (Bay 3 · 410A), any one more may fail',
    'last whole check seen to end 2025-11-24 16:00 UTC',
    'Bay 3 · 410A: missing, it was a member before',
    'Bay 3 · 410C: spare',
  ]);
});

test.each([
  [
    [kept('array-protection', 2, 'RAID 6 of 5 members'), kept('array-members-missing', 0)],
    'whole, no member missing',
  ],
  [
    [kept('array-protection', 0, 'RAID 0 of 2 members'), kept('array-members-missing', null)],
    'any failure loses data',
  ],
])('an array that is whole, and one that protects nothing', (figures, expected) => {
  expect(arrayClauses(figures)[1]).toBe(expected);
});
