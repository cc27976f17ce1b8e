/** A store that an older program made is brought up to date, and a cut meanwhile loses nothing. */
import { copyFileSync, existsSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { findingColumns } from '../../../src/agent/store/finding-columns.js';
import { newestPageTable } from '../../../src/agent/store/newest-page-table.js';
import { recentReadingTables } from '../../../src/agent/store/recent-reading-tables.js';
import type { StoreWriter } from '../../../src/agent/store/store.js';
import { openStore } from '../../../src/agent/store/write.js';
import {
  at,
  driveA,
  figure,
  hour,
  isTestGauge,
  newYear,
  setClock,
  temporaryFolder,
} from './temporary-store.js';

let folder: string;
let path: string;
beforeEach(() => {
  folder = temporaryFolder();
  path = join(folder, 'store.sqlite');
  const db = new Database(path);
  db.pragma('journal_mode = WAL');
  db.exec(readFileSync(new URL('version-4.sql', import.meta.url), 'utf8'));
  db.close();
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const open = (file: string) => openStore(file, setClock(), { isGauge: isTestGauge });

/** What the older program itself said of this store, by part and series. */
function expectAsItWas(store: StoreWriter): void {
  expect(store.parts().map(({ name, lastSeen, gone }) => ({ name, lastSeen, gone }))).toEqual([
    { name: 'LK-0001', lastSeen: { boot: 2, monoMs: 7_200_000, wallMs: 1_767_340_800_000 } },
    {
      name: 'LK-0002',
      lastSeen: { boot: 1, monoMs: 0, wallMs: 1_767_225_600_000 },
      gone: { boot: 2, monoMs: 7_200_000, wallMs: 1_767_340_800_000 },
    },
  ]);
  const latest = store.latest(1).map((one) => {
    const { seriesId, boot, monoMs, lastMonoMs, state, value, firstValue } = one;
    return [seriesId, boot, monoMs, lastMonoMs, state, value, firstValue];
  });
  expect(latest).toEqual([
    [1, 1, 7_200_000, 7_200_000, 'measured', 33, 31],
    [2, 2, 3_600_000, 7_200_000, 'measured', 12, 4],
    [3, 1, 0, 7_200_000, 'measured', 1, 1],
    [5, 2, 3_600_000, 7_200_000, 'asleep', null, null],
  ]);
  const values = [1, 2, 3, 4, 5].map((series) =>
    store.readings(series, 0).map(({ value }) => value),
  );
  expect(values).toEqual([[31, 32, 33], [4, 12, 12], [1], [40], [null]]);
}

test('every row is there after the update, and the next reading lengthens or follows them', () => {
  const store = open(path);
  expectAsItWas(store);
  const boot = store.beginBoot('boot-2', newYear + 33 * hour);
  const now = at(boot, 3 * hour, newYear + 33 * hour);
  const { id } = store.keepPart(driveA, now);
  const temperature = figure('temperature', 30, { unit: 'celsius' });
  store.keepReadings(id, now, [temperature, figure('reallocated-sectors', 12)]);
  expect(store.readings(1, 0).map(({ value }) => value)).toEqual([31, 32, 33, 30]);
  // The row of the counter that stood still has become longer, not another one.
  expect(store.readings(2, 0).map(({ lastMonoMs }) => lastMonoMs)).toEqual([
    1 * hour,
    2 * hour,
    3 * hour,
  ]);
  store.close();
  const again = open(path);
  expect(again.parts()[0]?.lastSeen).toEqual({ ...now });
  expect(again.readings(1, 0).map(({ value }) => value)).toEqual([31, 32, 33, 30]);
  again.close();
});

test('a cut after any statement of the update leaves the store as the older program left it', () => {
  const statements = recentReadingTables.split(/;\n/).filter((text) => text.trim() !== '');
  expect(statements.length).toBeGreaterThan(5);
  for (const count of statements.keys()) {
    const db = new Database(path);
    db.exec(`BEGIN IMMEDIATE; ${newestPageTable} ${findingColumns}`);
    for (const text of statements.slice(0, count + 1)) db.exec(text);
    const left = join(folder, `left-${count}.sqlite`);
    for (const suffix of ['', '-wal'].filter((one) => existsSync(`${path}${one}`))) {
      copyFileSync(`${path}${suffix}`, `${left}${suffix}`);
    }
    db.exec('ROLLBACK');
    db.close();
    const store = open(left);
    expectAsItWas(store);
    store.close();
  }
});
