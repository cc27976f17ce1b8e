// Short ways to write stored rows by hand.
import type { BootRow, LatestReading, PartRow, ReadingRow } from '../../src/agent/store/rows.js';
import type { ReadingState } from '../../src/checks/reading.js';

export const minuteMs = 60_000;
export const hourMs = 60 * minuteMs;

/** A boot that started at `startedWall` and lasted `lengthMs`, as its newest row tells. */
export function boot(
  id: number,
  startedWall: number,
  lengthMs: number,
  wallTrusted = true,
): BootRow {
  return {
    id,
    bootId: `boot-${id}`,
    startedWall,
    wallTrusted,
    lastMonoMs: lengthMs,
    lastWallMs: startedWall + lengthMs,
  };
}

export function figure(
  bootId: number,
  monoMs: number,
  value: number | null,
  own: Partial<ReadingRow> = {},
): ReadingRow {
  const state: ReadingState = value === null ? 'no-figure' : 'measured';
  return {
    seriesId: 1,
    boot: bootId,
    monoMs,
    wallMs: 0,
    lastMonoMs: monoMs,
    lastWallMs: 0,
    state,
    value,
    low: null,
    high: null,
    text: '',
    ...own,
  };
}

export function latest(
  metric: string,
  value: number | null,
  own: Partial<LatestReading> = {},
): LatestReading {
  return {
    ...figure(1, 0, value),
    metric,
    place: '',
    unit: 'count',
    source: 'a record',
    firstValue: value,
    firstWallMs: 0,
    ...own,
  };
}

export function part(own: Partial<PartRow> = {}): PartRow {
  return {
    id: 1,
    kind: 'drive',
    identityKey: 'serial:LK/LK7-3310A',
    name: 'LK7-3310A',
    label: 'Larkspur LK-40',
    details: { serial: 'LK7-3310A', capacityBytes: 4e12, rotating: true },
    firstBoot: 1,
    firstWallMs: 0,
    lastSeen: { boot: 1, monoMs: 0, wallMs: 0 },
    ...own,
  };
}
