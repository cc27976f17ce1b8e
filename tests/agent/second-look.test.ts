import { expect, test } from 'vitest';
import { isWorthSecondLook } from '../../src/agent/second-look.js';
import type { LatestReading } from '../../src/agent/store/rows.js';
import { absent, measured, type Reading } from '../../src/checks/reading.js';

const source = 'ATA Device Statistics';

function stored(metric: string, value: number | null, place = ''): LatestReading {
  return {
    seriesId: 1,
    metric,
    place,
    unit: 'count',
    source,
    boot: 1,
    monoMs: 0,
    wallMs: 0,
    lastMonoMs: 0,
    lastWallMs: 0,
    state: value === null ? 'asleep' : 'measured',
    value,
    low: null,
    high: null,
    text: '',
    firstValue: value,
    firstWallMs: 0,
  };
}

function now(metric: string, value: number, place?: string): Reading {
  const figure = { metric, unit: 'count', source } as const;
  return measured(place === undefined ? figure : { ...figure, place }, value);
}

test.each([
  'drive-verdict',
  'critical-warning',
  'self-test-result',
  'reallocated-sectors',
  'pending-sectors',
  'uncorrectable-sectors',
  'uncorrectable-errors-reported',
  'media-and-data-errors',
  'interface-crc-errors',
  'emergency-head-parks',
  'commands-overdue',
])('%s that moved is worth a second look, one that stood is not', (metric) => {
  expect(isWorthSecondLook([stored(metric, 8)], [now(metric, 9)])).toBe(true);
  expect(isWorthSecondLook([stored(metric, 8)], [now(metric, 7)])).toBe(true);
  expect(isWorthSecondLook([stored(metric, 8)], [now(metric, 8)])).toBe(false);
});

test.each([
  ['a figure that always moves', [stored('power-on-hours', 8)], now('power-on-hours', 9)],
  ['a first figure', [], now('pending-sectors', 9)],
  ['a figure after none', [stored('pending-sectors', null)], now('pending-sectors', 9)],
  ['another place', [stored('pending-sectors', 8, 'a')], now('pending-sectors', 9, 'b')],
  [
    'no figure after one',
    [stored('pending-sectors', 8)],
    absent({ metric: 'pending-sectors', unit: 'count', source }, 'no-figure', 'Damaged page'),
  ],
] as const)('not worth it: %s', (_, before, reading) => {
  expect(isWorthSecondLook(before, [reading])).toBe(false);
});
