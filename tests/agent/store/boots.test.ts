import { afterEach, beforeEach, expect, test } from 'vitest';
import { anyCapture } from './examples.js';
import {
  at,
  day,
  driveA,
  figure,
  hour,
  newYear,
  type TemporaryStore,
  temporaryStore,
} from './temporary-store.js';

let room: TemporaryStore;

beforeEach(() => {
  room = temporaryStore();
});

afterEach(() => room.remove());

function trust(): readonly boolean[] {
  return room.store.boots().map(({ wallTrusted }) => wallTrusted);
}

test('boots are numbered, and the same boot keeps its number over restarts of the agent', () => {
  expect(room.store.beginBoot('a', newYear)).toBe(1);
  expect(room.reopen().beginBoot('a', newYear)).toBe(1);
  expect(room.store.beginBoot('b', newYear + day)).toBe(2);
  expect(room.store.beginBoot('a', newYear + day)).toBe(1);
});

test('a boot remembers the newest moment that anything was stored for', () => {
  const boot = room.store.beginBoot('a', newYear);
  const { id } = room.store.keepPart(driveA, at(boot, 5000));
  room.store.keepReadings(id, at(boot, 9000), [figure('temperature', 1)]);
  room.store.keepReadings(id, at(boot, 7000), [figure('temperature', 2)]);
  expect(room.store.boots()).toMatchObject([
    { id: 1, startedWall: newYear, lastMonoMs: 9000, lastWallMs: newYear + 9000 },
  ]);
});

test('a calendar earlier than the last boot is not believed', () => {
  room.store.beginBoot('a', newYear);
  room.store.beginBoot('b', newYear - day);
  room.store.beginBoot('c', newYear + day);
  expect(trust()).toEqual([true, false, true]);
});

test('a step of the calendar costs a boot its trust, and marking gives it back', () => {
  const boot = room.store.beginBoot('a', newYear);
  room.store.keepPart(driveA, at(boot, 2 * hour));
  expect(trust()).toEqual([true]);
  room.store.keepPart(driveA, at(boot, 3 * hour, newYear + 900 * day));
  expect(trust()).toEqual([false]);
  room.store.markWallTrust(boot, true);
  expect(trust()).toEqual([true]);
});

test('a restart of the agent in the same boot notices a step too', () => {
  room.store.beginBoot('a', newYear);
  room.clock.mono = 2 * hour;
  room.store.beginBoot('a', newYear + 30 * day);
  expect(trust()).toEqual([false]);
});

test('a clock put right soon after boot dates again what this boot measured before', () => {
  const reset = Date.UTC(1970, 0, 1);
  room.store.beginBoot('a', newYear);
  room.clock.mono = 30_000;
  const boot = room.store.beginBoot('b', reset + 30_000);
  const { id } = room.store.keepPart(driveA, at(boot, 40_000, reset + 40_000));
  room.store.keepReadings(id, at(boot, 50_000, reset + 50_000), [figure('bad-sectors', 4)]);
  room.store.keepNewestPages(id, at(boot, 50_000, reset + 50_000), anyCapture);
  expect(trust()).toEqual([true, false]);

  room.store.keepReadings(id, at(boot, 60_000, newYear + day), [figure('bad-sectors', 5)]);
  expect(trust()).toEqual([true, true]);
  const right = newYear + day - 60_000;
  const [series] = room.store.series(id, 'bad-sectors');
  expect(room.store.readings(series!.id, newYear).map(({ wallMs }) => wallMs)).toEqual([
    right + 50_000,
    right + 60_000,
  ]);
  expect(room.store.boots()[1]).toMatchObject({ startedWall: right + 30_000 });
  expect(room.store.parts()[0]).toMatchObject({ firstWallMs: right + 40_000 });
  expect(room.store.latest(id)[0]).toMatchObject({ firstWallMs: right + 50_000 });
  const pages = room.store.newestPages(id);
  expect(pages.map((kept) => kept.at.wallMs)).toEqual([right + 50_000, right + 50_000]);
});

test('history from a moment on leaves out wrong calendars before it and keeps those after it', () => {
  const keep = (boot: number, monoMs: number, wallMs: number, value: number) => {
    const { id } = room.store.keepPart(driveA, at(boot, monoMs, wallMs));
    room.store.keepReadings(id, at(boot, monoMs, wallMs), [figure('bad-sectors', value)]);
  };
  keep(room.store.beginBoot('wrong, long ago', 1000), 0, 1000, 1);
  keep(room.store.beginBoot('right, long ago', newYear), 0, newYear, 2);
  keep(room.store.beginBoot('right', newYear + 60 * day), 0, newYear + 60 * day, 3);
  keep(room.store.beginBoot('wrong, now', 2000), 0, 2000, 4);
  expect(trust()).toEqual([false, true, true, false]);
  const [series] = room.store.series(1, 'bad-sectors');
  const values = (from: number) => room.store.readings(series!.id, from).map(({ value }) => value);
  expect(values(0)).toEqual([1, 2, 3, 4]);
  expect(values(newYear + day)).toEqual([3, 4]);
});
