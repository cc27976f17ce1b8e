import { expect, test } from 'vitest';
import type { KeptFigure } from '../../src/checks/array-words.js';
import {
  clockWords,
  managementInFull,
  managementInShort,
  managementTroubles,
} from '../../src/checks/management-words.js';
import { metricInfo } from '../../src/checks/metrics.js';

function kept(metric: string, value: number | null, place = '', text = ''): KeptFigure {
  return { metric, value, unit: metricInfo(metric).unit, place, text };
}

const present = 'a supply is present';

/** States of supplies: bit 0 present, bit 3 input gone (IPMI 2.0, supply sensor, from memory). */
const board: readonly KeptFigure[] = [
  kept('temperature', 25, 'Intake'),
  kept('temperature-limit', 45, 'Intake'),
  kept('temperature', 71, 'Card', 'above its upper limit, says the controller'),
  kept('fan-speed', 4200, 'Fan 2'),
  kept('fan-speed', 114, 'Fan 1', 'below its critical limit, says the controller'),
  kept('fan-speed-limit', 594, 'Fan 1'),
  kept('voltage', 12.1, '12 V'),
  kept('voltage', null, '5 V', 'The controller does not look at this sensor'),
  kept('supply-state', 1, 'PSA', present),
  kept('supply-state', 9, 'PSB', `${present}; the supply’s input is gone`),
  kept('sensor-state', 1, 'Case', 'the case is open'),
  kept('controller-log-used', 82),
  kept('controller-log-entries', 1),
  kept('controller-clock-ahead', -840_535, '', '583 d 16 h behind the box’s'),
];

test('what a board’s controller tells, troubles first, then by kind', () => {
  expect(managementInFull(board)).toEqual([
    'Card 71 °C, above its upper limit, says the controller',
    'Fan 1 114 rpm, below its critical limit, says the controller; its limit is 594 rpm',
    'PSB: a supply is present; the supply’s input is gone',
    'Temperatures: Intake 25 °C (limit 45 °C)',
    'Fans: Fan 2 4\u202f200 rpm',
    'Power supplies: PSA (a supply is present)',
    'Voltages: 12 V 12.1 V',
    'Other states: Case (the case is open)',
    'its log is 82 % full, with 1 entry',
    'its clock is 583 d 16 h behind the box’s',
  ]);
});

test('a controller that tells nothing is not called good', () => {
  expect(managementInFull([])).toEqual([]);
  expect(managementInFull([kept('fan-speed', null, 'Fan 1', 'No answer')])).toEqual([]);
  expect(managementInFull([kept('controller-log-entries', 0)])).toEqual(['its log holds no entry']);
});

test.each([
  [0b1, false],
  [0b1000_0001, false],
  [0b11, true],
  [0b101, true],
  [0b100_0001, true],
])('states %i of a supply are a trouble: %s', (states, isTrouble) => {
  const found = managementTroubles([kept('supply-state', states, 'PSA', 'words')]);
  expect(found).toEqual(isTrouble ? ['PSA: words'] : []);
});

test.each([
  [0, 'as the box’s'],
  [-2, 'as the box’s'],
  [3, '3 min ahead of the box’s'],
  [-61, '1 h 1 min behind the box’s'],
])('a clock %i minutes ahead is %s', (minutes, words) => {
  expect(clockWords(minutes)).toBe(words);
});

test('in short the troubles, how many sensors were read, log and clock', () => {
  const short = managementInShort(board);
  expect(short[0]).toBe('Card 71 °C, above its upper limit, says the controller');
  expect(short).toContain('its log is 82 % full, with 1 entry');
  expect(short.filter((one) => / of its sensors read$/.test(one))).toHaveLength(1);
});
