import { expect, test } from 'vitest';
import { type PowerCycles, startKinds } from '../../src/checks/start-kind.js';

/** Counts of one drive from boot 1 on; null where it was not read. */
function drive(...values: readonly (number | null)[]): readonly PowerCycles[] {
  return values.flatMap((value, index) => (value === null ? [] : [{ boot: index + 1, value }]));
}

test.each<[string, readonly (readonly PowerCycles[])[], readonly (readonly [number, string])[]]>([
  ['no drive at all', [], []],
  ['the first boot of all', [drive(10)], []],
  ['one count more', [drive(10, 11)], [[2, 'power-on']]],
  ['several counts more, as after boots without Bayward', [drive(10, 14)], [[2, 'power-on']]],
  [
    'no count more of a drive that counts',
    [drive(10, 11, 11)],
    [
      [2, 'power-on'],
      [3, 'restart'],
    ],
  ],
  ['a counter that never moves is no witness', [drive(0, 0, 0)], []],
  [
    'a counter that never moves beside one that does',
    [drive(0, 0), drive(10, 11)],
    [[2, 'power-on']],
  ],
  [
    'one drive that lost its power alone while another kept it',
    [drive(10, 11, 12), drive(20, 21, 21)],
    [
      [2, 'power-on'],
      [3, 'restart'],
    ],
  ],
  [
    'the same whatever drive comes first',
    [drive(20, 21, 21), drive(10, 11, 12)],
    [
      [2, 'power-on'],
      [3, 'restart'],
    ],
  ],
  ['a boot in which the drive was not read', [drive(10, null, 11)], []],
  ['a counter that fell, which is another drive’s or damaged', [drive(10, 3)], []],
])('%s', (_, drives, expected) => {
  expect([...startKinds(drives)]).toEqual(expected);
});

test('within one boot the newest count before its end is compared', () => {
  const counts = [
    { boot: 1, value: 10 },
    { boot: 1, value: 11 },
    { boot: 2, value: 11 },
  ];
  expect([...startKinds([counts])]).toEqual([[2, 'restart']]);
});
