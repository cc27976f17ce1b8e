import { expect, test } from 'vitest';
import type { Look } from '../../src/checks/check.js';
import {
  type CheckFacts,
  checkInputOf,
  type KeptFigures,
  type KnownHistories,
} from '../../src/checks/check-input.js';

const now = { boot: 2, monoMs: 3_600_000, wallMs: 1_800_000_000_000 };
const part = {
  id: 1,
  kind: 'drive',
  name: 'LK-1',
  details: {},
  firstWallMs: 0,
  lastSeen: now,
} as const;

function row(boot: number, value: number, times: { monoMs: number; lastMonoMs: number }): Look {
  return { boot, ...times, wallMs: 1_700_000_000_000, state: 'measured', value };
}

/** One counter and one gauge of one drive, with a note of every history that was read. */
function figuresOf(rows: Look[]) {
  const read: number[] = [];
  const newest = (seriesId: number, metric: string) => {
    const last = rows.at(-1)!;
    return {
      ...last,
      seriesId,
      metric,
      place: '',
      unit: 'count' as const,
      source: 'invented record',
      lastMonoMs: last.lastMonoMs ?? last.monoMs,
      lastWallMs: last.wallMs,
      firstValue: rows[0]?.value ?? null,
    };
  };
  const figures: KeptFigures = {
    latest: () => [newest(5, 'interface-crc-errors'), newest(6, 'temperature')],
    readings: (seriesId) => {
      read.push(seriesId);
      return [...rows];
    },
    speeds: () => [],
    events: () => [],
  };
  return { figures, read };
}

function inputOf(figures: KeptFigures, known?: KnownHistories) {
  const facts: CheckFacts = { figures, parts: [part], findings: [], now, model: null, classes: [] };
  return checkInputOf(part, known === undefined ? facts : { ...facts, known });
}

test('a history is read when a check looks at it, and once', () => {
  const { figures, read } = figuresOf([row(1, 3, { monoMs: 0, lastMonoMs: 500 })]);
  const [crc, warmth] = inputOf(figures).series;
  expect(read).toEqual([]);
  expect(crc?.looks).toBe(crc?.looks);
  expect(crc?.first).toMatchObject({ boot: 1, monoMs: 0, value: 3 });
  expect(read).toEqual([5]);
  expect(warmth?.looks).toHaveLength(1);
  expect(read).toEqual([5, 6]);
});

test('a counter’s known history is taken while its newest row only gets longer', () => {
  const rows = [
    row(1, 3, { monoMs: 0, lastMonoMs: 500 }),
    row(2, 4, { monoMs: 100, lastMonoMs: 100 }),
  ];
  const { figures, read } = figuresOf(rows);
  const known: KnownHistories = new Map();
  expect(inputOf(figures, known).series[0]?.looks).toHaveLength(2);
  rows[1] = row(2, 4, { monoMs: 100, lastMonoMs: 900 });
  const longer = inputOf(figures, known).series[0];
  expect(longer?.looks.map(({ lastMonoMs }) => lastMonoMs)).toEqual([500, 900]);
  expect(read).toEqual([5]);
});

test.each([
  ['there is a newer row', row(2, 9, { monoMs: 700, lastMonoMs: 700 })],
  ['it was dated again', { ...row(2, 4, { monoMs: 100, lastMonoMs: 100 }), wallMs: 1 }],
])('a counter’s history is read again when %s', (_why, next) => {
  const rows = [
    row(1, 3, { monoMs: 0, lastMonoMs: 500 }),
    row(2, 4, { monoMs: 100, lastMonoMs: 100 }),
  ];
  const { figures, read } = figuresOf(rows);
  const known: KnownHistories = new Map();
  expect(inputOf(figures, known).series[0]?.looks).toHaveLength(2);
  if (next.monoMs > 100) rows.push(next);
  else rows[1] = next;
  expect(inputOf(figures, known).series[0]?.looks).toEqual(rows);
  expect(read).toEqual([5, 5]);
});

test('a gauge is read anew each time', () => {
  const { figures, read } = figuresOf([row(1, 30, { monoMs: 0, lastMonoMs: 0 })]);
  const known: KnownHistories = new Map();
  expect(inputOf(figures, known).series[1]?.looks).toHaveLength(1);
  expect(inputOf(figures, known).series[1]?.looks).toHaveLength(1);
  expect(read).toEqual([6, 6]);
});
