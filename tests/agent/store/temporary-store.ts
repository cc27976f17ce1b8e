import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Clock } from '../../../src/agent/clock.js';
import type { Instant, PartToKeep } from '../../../src/agent/store/rows.js';
import type { StoreWriter } from '../../../src/agent/store/store.js';
import { openStore, type StoreOptions } from '../../../src/agent/store/write.js';
import type { Reading } from '../../../src/checks/reading.js';

/** 1 January 2026, 00:00 UTC. */
export const newYear = 1_767_225_600_000;
export const hour = 3_600_000;
export const day = 24 * hour;

export interface SetClock extends Clock {
  bootId: string;
  mono: number;
  wall: number;
}

export function setClock(): SetClock {
  const clock: SetClock = {
    bootId: 'boot-1',
    mono: 0,
    wall: newYear,
    bootMs: () => clock.mono,
    wallMs: () => clock.wall,
    sleep: async () => undefined,
  };
  return clock;
}

export interface TemporaryStore {
  readonly folder: string;
  readonly path: string;
  readonly clock: SetClock;
  readonly store: StoreWriter;
  reopen(): StoreWriter;
  remove(): void;
}

export function temporaryFolder(): string {
  return mkdtempSync(join(tmpdir(), 'bayward-store-'));
}

/** A store in a folder of its own. Counters are the metrics that end in "errors" or "sectors". */
export function temporaryStore(options: StoreOptions = { isGauge: isTestGauge }): TemporaryStore {
  const folder = temporaryFolder();
  const path = join(folder, 'store.sqlite');
  const clock = setClock();
  let store = openStore(path, clock, options);
  return {
    folder,
    path,
    clock,
    get store() {
      return store;
    },
    reopen: () => {
      store.close();
      store = openStore(path, clock, options);
      return store;
    },
    remove: () => {
      store.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

export const isTestGauge = (metric: string): boolean => !/(errors|sectors|mode)$/.test(metric);

export const driveA: PartToKeep = {
  kind: 'drive',
  identityKey: 'wwn:5000c500a1b2c3d4',
  name: 'LK-0001',
  label: 'Larkspur Archive 4 TB (invented)',
  details: { serial: 'LK-0001' },
};

export const driveB: PartToKeep = { ...driveA, identityKey: 'wwn:2', name: 'LK-0002' };

export function at(boot: number, monoMs: number, wallMs = newYear + monoMs): Instant {
  return { boot, monoMs, wallMs };
}

export function figure(metric: string, value: number, more: Partial<Reading> = {}): Reading {
  return { metric, value, state: 'measured', unit: 'count', source: 'test record', ...more };
}

export function asleep(metric: string, why = 'The drive sleeps'): Reading {
  return { metric, value: null, state: 'asleep', unit: 'count', source: 'test record', why };
}
