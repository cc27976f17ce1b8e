/** A figure that sleep hides is told as it was when it was last read. */
import { afterEach, beforeEach, expect, test } from 'vitest';
import { sentencesOf } from '../../../src/agent/status-sentences.js';
import type { LatestReading } from '../../../src/agent/store/rows.js';
import type { Reading } from '../../../src/checks/reading.js';
import { asLastRead } from '../../../src/checks/seen-figure.js';
import { partSentence } from '../../../src/web/part-sentence.js';
import { at, driveA, newYear, type TemporaryStore, temporaryStore } from './temporary-store.js';

const hour = 3_600_000;

let room: TemporaryStore;
let boot: number;
let partId: number;

beforeEach(() => {
  room = temporaryStore();
  boot = room.store.beginBoot('boot-1', newYear);
  partId = room.store.keepPart(driveA, at(boot, 0)).id;
});

afterEach(() => room.remove());

function read(metric: string, value: number | null, unit: Reading['unit']): Reading {
  const asleep = { state: 'asleep', why: 'The drive sleeps and was not woken' } as const;
  const told = value === null ? asleep : ({ state: 'measured' } as const);
  return { metric, value, unit, source: 'attribute 5, raw value', ...told };
}

function keep(hours: number, readings: readonly Reading[]): void {
  room.store.keepReadings(partId, at(boot, hours * hour, newYear + hours * hour), readings);
}

function latestOf(metric: string): LatestReading | undefined {
  return room.store.latest(partId).find((one) => one.metric === metric);
}

test('the figure of the last look stands beside the state, also after a restart', () => {
  keep(1, [read('reallocated-sectors', 8, 'sectors')]);
  keep(2, [read('reallocated-sectors', 8, 'sectors')]);
  keep(2.2, [read('reallocated-sectors', null, 'sectors')]);
  keep(10, [read('reallocated-sectors', null, 'sectors')]);
  room.reopen();
  expect(latestOf('reallocated-sectors')).toMatchObject({
    state: 'asleep',
    value: null,
    lastWallMs: newYear + 10 * hour,
    beforeSleep: { value: 8, lastWallMs: newYear + 2 * hour },
  });
});

test('there is none of a figure that was never measured, nor of one that is awake', () => {
  keep(1, [read('reallocated-sectors', null, 'sectors')]);
  expect(latestOf('reallocated-sectors')).not.toHaveProperty('beforeSleep');
  keep(2, [read('reallocated-sectors', 8, 'sectors')]);
  expect(latestOf('reallocated-sectors')).not.toHaveProperty('beforeSleep');
});

test('damage is still told while the drive sleeps, warmth is not', () => {
  keep(1, [
    read('reallocated-sectors', 8, 'sectors'),
    read('temperature', 36, 'celsius'),
    read('power-on-hours', 31_400, 'hours'),
  ]);
  keep(5, [
    read('reallocated-sectors', null, 'sectors'),
    read('temperature', null, 'celsius'),
    read('power-on-hours', null, 'hours'),
  ]);
  const latest = room.store.latest(partId);
  expect(latest.map((one) => asLastRead(one).value)).toEqual([8, null, 31_400]);
  const part = room.store.parts()[0];
  if (part === undefined) throw new Error('The part was not kept');
  const said = sentencesOf(part, latest, { nowWallMs: newYear + 6 * hour, nameOf: (id) => id });
  expect(said[0]).toMatch(/^Reallocated sectors \(5\): 8/);
  expect(said.at(-1)).toBe(
    'Asleep when last looked at, 1 h ago, and not woken; last read 5 h ago.',
  );
  expect(partSentence(part, latest)).toMatch(/^Asleep · reallocated sectors \(5\): 8/);
});
