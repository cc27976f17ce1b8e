import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import {
  asleep,
  at,
  driveA,
  figure,
  newYear,
  type TemporaryStore,
  temporaryStore,
} from './temporary-store.js';

let room: TemporaryStore;
let boot: number;
let part: number;

beforeEach(() => {
  room = temporaryStore();
  boot = room.store.beginBoot('boot-1', newYear);
  part = room.store.keepPart(driveA, at(boot, 0)).id;
});

afterEach(() => room.remove());

function rows(metric: string, store = room.store) {
  const [series] = store.series(part, metric);
  return series === undefined ? [] : store.readings(series.id, 0);
}

/** The moments, state and value of each row. */
function told(metric: string) {
  return rows(metric).map((row) => [row.boot, row.monoMs, row.lastMonoMs, row.state, row.value]);
}

describe('counters', () => {
  test('an equal figure in the same boot lengthens the row', () => {
    for (const mono of [1000, 2000, 9000]) {
      room.store.keepReadings(part, at(boot, mono), [figure('crc-errors', 7)]);
    }
    expect(told('crc-errors')).toEqual([[1, 1000, 9000, 'measured', 7]]);
    expect(rows('crc-errors')[0]?.lastWallMs).toBe(newYear + 9000);
    expect(rows('crc-errors')[0]?.wallMs).toBe(newYear + 1000);
  });

  test('a changed figure is a new row, and going back is one more', () => {
    for (const [mono, value] of [
      [1000, 7],
      [2000, 8],
      [3000, 7],
    ] as const) {
      room.store.keepReadings(part, at(boot, mono), [figure('crc-errors', value)]);
    }
    expect(told('crc-errors')).toEqual([
      [1, 1000, 1000, 'measured', 7],
      [1, 2000, 2000, 'measured', 8],
      [1, 3000, 3000, 'measured', 7],
    ]);
  });

  test('the next boot begins a new row even when the figure is equal', () => {
    room.store.keepReadings(part, at(boot, 1000), [figure('crc-errors', 7)]);
    const next = room.store.beginBoot('boot-2', newYear + 50_000);
    room.store.keepReadings(part, at(next, 10, newYear + 50_010), [figure('crc-errors', 7)]);
    expect(told('crc-errors')).toEqual([
      [1, 1000, 1000, 'measured', 7],
      [2, 10, 10, 'measured', 7],
    ]);
  });

  test('a code whose words change is a new row', () => {
    room.store.keepReadings(part, at(boot, 1), [figure('power-mode', 0, { text: 'standby' })]);
    room.store.keepReadings(part, at(boot, 2), [figure('power-mode', 0, { text: 'idle' })]);
    expect(rows('power-mode').map(({ text }) => text)).toEqual(['standby', 'idle']);
  });
});

describe('gauges and absences', () => {
  test('every figure of a gauge is a row of its own', () => {
    for (const mono of [1000, 2000]) {
      room.store.keepReadings(part, at(boot, mono), [figure('temperature', 31)]);
    }
    expect(told('temperature')).toEqual([
      [1, 1000, 1000, 'measured', 31],
      [1, 2000, 2000, 'measured', 31],
    ]);
  });

  test('an absence is a row with its state and reason, lengthened while it lasts', () => {
    room.store.keepReadings(part, at(boot, 1000), [figure('temperature', 31)]);
    room.store.keepReadings(part, at(boot, 2000), [asleep('temperature')]);
    room.store.keepReadings(part, at(boot, 3000), [asleep('temperature')]);
    room.store.keepReadings(part, at(boot, 4000), [asleep('temperature', 'Another reason')]);
    expect(told('temperature')).toEqual([
      [1, 1000, 1000, 'measured', 31],
      [1, 2000, 3000, 'asleep', null],
      [1, 4000, 4000, 'asleep', null],
    ]);
    expect(rows('temperature').map(({ text }) => text)).toEqual([
      '',
      'The drive sleeps',
      'Another reason',
    ]);
  });

  test.each([Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, null])(
    'a measured %s is kept as no figure, never as a number',
    (value) => {
      const broken = { ...figure('temperature', 0), value };
      room.store.keepReadings(part, at(boot, 1), [broken]);
      expect(rows('temperature')).toMatchObject([{ state: 'no-figure', value: null }]);
    },
  );

  test('large counts come back exactly', () => {
    room.store.keepReadings(part, at(boot, 1), [figure('crc-errors', 2 ** 53 - 1)]);
    expect(rows('crc-errors')[0]?.value).toBe(9007199254740991);
  });
});

describe('series', () => {
  test('places and units keep figures of one metric apart', () => {
    room.store.keepReadings(part, at(boot, 1), [
      figure('temperature', 30, { place: 'sensor 1' }),
      figure('temperature', 40, { place: 'sensor 2' }),
      figure('temperature', 50, { place: 'sensor 2', unit: 'celsius' }),
    ]);
    const found = room.store.series(part, 'temperature');
    expect(found.map(({ place, unit }) => [place, unit])).toEqual([
      ['sensor 1', 'count'],
      ['sensor 2', 'count'],
      ['sensor 2', 'celsius'],
    ]);
  });

  test('latest tells the newest row and the first measured figure of the record it comes from', () => {
    room.store.keepReadings(part, at(boot, 1000), [asleep('bad-sectors')]);
    room.store.keepReadings(part, at(boot, 2000), [figure('bad-sectors', 5)]);
    room.store.keepReadings(part, at(boot, 3000), [figure('bad-sectors', 9)]);
    expect(room.store.latest(part)).toMatchObject([
      { metric: 'bad-sectors', value: 9, monoMs: 3000, firstValue: 5, firstWallMs: newYear + 2000 },
    ]);
  });

  test('another record has a first figure of its own, and the earlier one is not forgotten', () => {
    const other = { source: 'another record' };
    room.store.keepReadings(part, at(boot, 1000), [figure('bad-sectors', 5)]);
    room.store.keepReadings(part, at(boot, 2000), [figure('bad-sectors', 100, other)]);
    expect(room.store.latest(part)).toMatchObject([{ ...other, value: 100, firstValue: 100 }]);
    room.store.keepReadings(part, at(boot, 3000), [figure('bad-sectors', 6)]);
    expect(room.store.latest(part)).toMatchObject([{ value: 6, firstValue: 5 }]);
  });

  test('a series that was only ever absent has no first figure', () => {
    room.store.keepReadings(part, at(boot, 1000), [asleep('bad-sectors')]);
    expect(room.store.latest(part)).toMatchObject([
      { state: 'asleep', value: null, firstValue: null, firstWallMs: null },
    ]);
  });

  test('the history can be asked from a moment on, and includes what still held then', () => {
    for (const [mono, value] of [
      [1000, 1],
      [5000, 1],
      [6000, 2],
    ] as const) {
      room.store.keepReadings(part, at(boot, mono), [figure('crc-errors', value)]);
    }
    const [series] = room.store.series(part, 'crc-errors');
    const from = (wall: number) => room.store.readings(series!.id, wall).map(({ value }) => value);
    expect(from(newYear + 3000)).toEqual([1, 2]);
    expect(from(newYear + 5001)).toEqual([2]);
    expect(from(newYear + 7000)).toEqual([]);
  });
});

test('a moment of an unknown boot is refused and nothing is kept', () => {
  expect(() => room.store.keepReadings(part, at(99, 1), [figure('temperature', 1)])).toThrow(
    'Boot 99 is not in the store',
  );
  expect(room.store.latest(part)).toEqual([]);
});

test('one reading that cannot be kept takes the whole call back', () => {
  const broken = { ...figure('temperature', 1), unit: undefined } as never;
  expect(() =>
    room.store.keepReadings(part, at(boot, 1), [figure('crc-errors', 1), broken]),
  ).toThrow();
  expect(room.store.latest(part)).toEqual([]);
});
