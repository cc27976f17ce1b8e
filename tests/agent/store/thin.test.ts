import Database from 'better-sqlite3';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { tierFor } from '../../../src/agent/store/tiers.js';
import {
  asleep,
  at,
  day,
  driveA,
  figure,
  hour,
  newYear,
  type TemporaryStore,
  temporaryStore,
} from './temporary-store.js';

const minute = 60_000;

let room: TemporaryStore;
let boot: number;
let part: number;

beforeEach(() => {
  room = temporaryStore();
  boot = room.store.beginBoot('boot-1', newYear);
  part = room.store.keepPart(driveA, at(boot, 0)).id;
});

afterEach(() => room.remove());

function keep(monoMs: number, metric: string, value: number): void {
  room.store.keepReadings(part, at(boot, monoMs), [figure(metric, value)]);
}

function seriesId(metric: string): number {
  return room.store.series(part, metric)[0]!.id;
}

function history(metric: string, fromWallMs: number) {
  return room.store
    .readings(seriesId(metric), fromWallMs)
    .map(({ monoMs, lastMonoMs, value, low, high }) => [monoMs, lastMonoMs, value, low, high]);
}

function rawCount(): number {
  const db = new Database(room.path, { readonly: true });
  const count = Number(db.prepare('SELECT count(*) FROM every_reading').pluck().get());
  db.close();
  return count;
}

test('how finely a stretch is told', () => {
  expect(
    [1, 8 * day, 8 * day + 1, 190 * day, 190 * day + 1].map((range) => tierFor(range)),
  ).toEqual(['raw', 'raw', 'hours', 'hours', 'days']);
});

test('figures become hours with mean, lowest and highest, then days; counters stay', () => {
  // Hour 0: 30, 31, 35 (mean 32). Hour 1: 20, 40 (mean 30). Hour 25: 50.
  // Day 0 by hand: (3 * 32 + 2 * 30) / 5 = 31.2, from 20 to 40.
  const figures = [
    [0, 30],
    [20 * minute, 31],
    [59 * minute, 35],
    [60 * minute, 20],
    [90 * minute, 40],
    [25 * hour, 50],
  ] as const;
  for (const [mono, value] of figures) keep(mono, 'temperature', value);
  keep(2 * hour, 'bad-sectors', 5);
  keep(800 * day, 'temperature', 60);
  expect(room.store.thin(newYear + 29 * day)).toBe(0);
  expect(rawCount()).toBe(8);

  // After 40 days the six figures are old; the newest row of the series always stays.
  expect(room.store.thin(newYear + 40 * day)).toBe(6);
  const hours = [
    [0, 59 * minute, 32, 30, 35],
    [60 * minute, 90 * minute, 30, 20, 40],
    [25 * hour, 25 * hour, 50, 50, 50],
  ];
  const newest = [800 * day, 800 * day, 60, null, null];
  expect(history('temperature', newYear + 700 * day)).toEqual([newest]);
  const days = [
    [0, 90 * minute, 31.2, 20, 40],
    [25 * hour, 25 * hour, 50, 50, 50],
  ];
  expect(history('temperature', 0)).toEqual([...days, newest]);
  expect(hourRows()).toEqual(hours);
  expect(history('bad-sectors', 0)).toEqual([[2 * hour, 2 * hour, 5, null, null]]);

  // After two years the hours go as well, the days stay.
  expect(room.store.thin(newYear + 731 * day)).toBe(2);
  expect(room.store.thin(newYear + 732 * day)).toBe(1);
  expect(hourRows()).toEqual([]);
  expect(history('temperature', 0)).toEqual([...days, newest]);
});

function hourRows() {
  const db = new Database(room.path, { readonly: true });
  const rows = db
    .prepare(
      `SELECT mono_ms, last_mono_ms, mean, low, high FROM reading_rollup
       WHERE bucket_ms = 3600000 ORDER BY boot, mono_ms`,
    )
    .raw()
    .all();
  db.close();
  return rows;
}

test('absences are never thinned, and stand between the hours', () => {
  keep(0, 'temperature', 30);
  room.store.keepReadings(part, at(boot, hour), [asleep('temperature')]);
  keep(2 * hour, 'temperature', 34);
  keep(100 * day, 'temperature', 40);
  room.store.thin(newYear + 100 * day);
  const [series] = room.store.series(part, 'temperature');
  const told = room.store.readings(series!.id, newYear - 20 * day);
  expect(told.map(({ state, value }) => [state, value])).toEqual([
    ['measured', 30],
    ['asleep', null],
    ['measured', 34],
    ['measured', 40],
  ]);
});

test('the hour that is still running is told by its figures until it is over', () => {
  for (const mono of [0, 30 * minute, 70 * minute, 119 * minute]) keep(mono, 'temperature', 30);
  room.store.thin(newYear + 2 * hour);
  expect(hourRows()).toEqual([[0, 30 * minute, 30, 30, 30]]);
  keep(2 * hour + 10 * minute, 'temperature', 30);
  room.store.thin(newYear + 2 * hour);
  expect(hourRows()).toHaveLength(2);
});

describe('a calendar that cannot be believed', () => {
  test('a boot at the reset time does not age before the next believed boot does', () => {
    const reset = Date.UTC(1970, 0, 1);
    keep(0, 'temperature', 30);
    const wrong = room.store.beginBoot('boot-2', reset);
    for (const mono of [hour, 40 * day, 40 * day + hour]) {
      room.store.keepReadings(part, at(wrong, mono, reset + mono), [figure('temperature', 31)]);
    }
    // The newest believed moment is that of boot 1, so nothing is old yet.
    expect(room.store.thin(reset + 41 * day)).toBe(0);
    const right = newYear + 50 * day;
    const next = room.store.beginBoot('boot-3', right);
    room.store.keepReadings(part, at(next, hour, right + hour), [figure('temperature', 32)]);
    // Boot 1 is 50 days old; boot 2 ended when boot 3 began, moments ago.
    expect(room.store.thin(right + hour)).toBe(1);
    expect(room.store.thin(right + 31 * day)).toBe(3);
  });

  test('a clock far in the future in an unbelieved boot thins nothing', () => {
    keep(hour, 'temperature', 30);
    keep(2 * hour, 'temperature', 30);
    room.store.keepReadings(part, at(boot, 3 * hour, newYear + 5000 * day), [
      figure('temperature', 30),
    ]);
    expect(room.store.thin(newYear + 5000 * day)).toBe(0);
    expect(rawCount()).toBe(3);
  });
});

test('hours and days keep count, mean and bounds of any list of figures (slow twin)', () => {
  const steps = fc.array(
    fc.record({
      minutes: fc.integer({ min: 1, max: 200 }),
      value: fc.integer({ min: -20, max: 80 }),
      reboot: fc.integer({ min: 0, max: 9 }).map((roll) => roll === 0),
    }),
    { minLength: 1, maxLength: 60 },
  );
  const run = fc.property(steps, (list) => {
    const one = temporaryStore();
    try {
      const figures: { boot: number; mono: number; value: number }[] = [];
      let number = one.store.beginBoot('boot-1', newYear);
      const { id } = one.store.keepPart(driveA, at(number, 0));
      let [mono, wall] = [0, newYear];
      for (const { minutes, value, reboot } of list) {
        wall += minutes * minute;
        mono += minutes * minute;
        if (reboot) {
          mono = 0;
          one.clock.mono = 0;
          number = one.store.beginBoot(`boot-${number + 1}`, wall);
        }
        one.store.keepReadings(id, at(number, mono, wall), [figure('temperature', value)]);
        figures.push({ boot: number, mono, value });
        if (minutes % 7 === 0) one.store.thin(wall);
      }
      one.store.beginBoot('boot-last', wall + minute);
      one.store.thin(wall + 100 * day);
      for (const bucket of [hour, day]) {
        const expected = new Map<string, number[]>();
        for (const { boot: inBoot, mono: when, value } of figures) {
          const key = `${inBoot}/${Math.floor(when / bucket)}`;
          expected.set(key, [...(expected.get(key) ?? []), value]);
        }
        const db = new Database(one.path, { readonly: true });
        const rows = db
          .prepare(
            'SELECT readings, mean, low, high FROM reading_rollup WHERE bucket_ms = ? ORDER BY boot, mono_ms',
          )
          .raw()
          .all(bucket) as [number, number, number, number][];
        db.close();
        const wanted = [...expected.values()];
        expect(rows.map((row) => [row[0], row[2], row[3]])).toEqual(
          wanted.map((values) => [values.length, Math.min(...values), Math.max(...values)]),
        );
        for (const [index, values] of wanted.entries()) {
          const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
          expect(rows[index]?.[1]).toBeCloseTo(mean, 9);
        }
      }
    } finally {
      one.remove();
    }
  });
  fc.assert(run, { seed: 20260102, numRuns: 40 });
});

test('a year of fifty lines is told in a few hundred rows each, and quickly', () => {
  // Fifty gauges, one figure an hour for 365 days, laid down by SQLite itself.
  const readings = Array.from({ length: 50 }, (_, place) =>
    figure('temperature', 20, { place: `sensor ${place}` }),
  );
  room.store.keepReadings(part, at(boot, 0), readings);
  const db = new Database(room.path);
  db.exec(`WITH RECURSIVE hours(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM hours WHERE n < 8760)
    INSERT INTO reading SELECT series.id, ${boot}, n * 3600000, ${newYear} + n * 3600000,
      n * 3600000, ${newYear} + n * 3600000, 'measured', 20 + n % 30, '' FROM series, hours
      ORDER BY series.id, n`);
  db.close();
  const end = 365 * day;
  room.store.keepReadings(part, at(boot, end + hour), readings);
  const removed = room.store.thin(newYear + end + hour);
  expect(removed).toBeGreaterThan(50 * 24 * 334);
  const all = room.store.series(part, 'temperature');
  const started = performance.now();
  const lengths = all.map(({ id }) => room.store.readings(id, newYear).length);
  const elapsed = performance.now() - started;
  expect(Math.min(...lengths)).toBeGreaterThanOrEqual(365);
  expect(Math.max(...lengths)).toBeLessThan(450);
  // About 0.1 s on an idle core; the limit allows for a busy one.
  expect(elapsed).toBeLessThan(3000);
}, 60_000);
