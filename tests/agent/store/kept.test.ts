/** What goes into the store comes out again, also after it was closed and opened. */
import { createHash } from 'node:crypto';
import { chmodSync, existsSync, mkdirSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { prepareStoreFolder } from '../../../src/agent/store/folder.js';
import { anyBurnIn, anyCapture, anyFinding, anySpeed, anyVerdict } from './examples.js';
import {
  at,
  day,
  driveA,
  driveB,
  newYear,
  type TemporaryStore,
  temporaryFolder,
  temporaryStore,
} from './temporary-store.js';

let room: TemporaryStore;
let boot: number;

beforeEach(() => {
  room = temporaryStore();
  boot = room.store.beginBoot('boot-1', newYear);
});

afterEach(() => room.remove());

test('a part is found again by its identity key, under another name and label', () => {
  const first = room.store.keepPart(driveA, at(boot, 1000));
  expect(first).toEqual({
    id: 1,
    ...driveA,
    firstBoot: 1,
    firstWallMs: newYear + 1000,
    lastSeen: at(boot, 1000),
  });
  const next = room.reopen().beginBoot('boot-2', newYear + day);
  const moved = { ...driveA, name: 'tray-3', label: 'Other', details: { bay: 3, more: [1] } };
  const again = room.store.keepPart(moved, at(next, 5, newYear + day + 5));
  expect(again).toEqual({
    ...moved,
    id: 1,
    firstBoot: 1,
    firstWallMs: newYear + 1000,
    lastSeen: at(next, 5, newYear + day + 5),
  });
  expect(room.store.keepPart(driveB, at(next, 6, newYear + day + 6)).id).toBe(2);
  expect(room.store.parts().map(({ id }) => id)).toEqual([1, 2]);
  expect(room.store.partByName('tray-3')?.id).toBe(1);
  expect(room.store.partByName('LK-0001')).toBeNull();
});

test('calls that were made together are kept together or not at all', () => {
  const both = (work: () => void) => () =>
    room.store.together(() => {
      room.store.keepPart(driveA, at(boot, 1));
      work();
    });
  expect(
    both(() => {
      throw new Error('cut');
    }),
  ).toThrow('cut');
  expect(room.store.parts()).toEqual([]);
  both(() => void room.store.keepPart(driveB, at(boot, 2)))();
  expect(room.store.parts()).toHaveLength(2);
});

test('of two parts with one name the one seen last is meant', () => {
  room.store.keepPart(driveA, at(boot, 2));
  room.store.keepPart({ ...driveB, name: driveA.name }, at(boot, 1));
  expect(room.store.partByName(driveA.name)?.id).toBe(1);
  room.store.keepPart({ ...driveB, name: driveA.name }, at(boot, 3));
  expect(room.store.partByName(driveA.name)?.id).toBe(2);
});

test('speeds', () => {
  const { id } = room.store.keepPart(driveA, at(boot, 0));
  expect([room.store.nextSpeedRun(), room.store.nextSpeedRun()]).toEqual([1, 2]);
  const { place: _place, limit: _limit, ...rest } = anySpeed;
  const broken = { ...rest, bytesPerSecond: null, complete: false, reason: 'Other load came' };
  room.store.keepSpeed(id, at(boot, 1), anySpeed);
  room.store.keepSpeed(id, at(boot, 2), broken);
  expect(room.reopen().speeds(id)).toEqual([
    { ...anySpeed, id: 1, partId: id, at: at(boot, 1) },
    { ...broken, id: 2, partId: id, at: at(boot, 2) },
  ]);
  expect(room.store.nextSpeedRun()).toBe(3);
});

test('burn-ins and their journal', () => {
  const { id } = room.store.keepPart(driveA, at(boot, 0));
  const started = room.store.startBurnIn(anyBurnIn(id, at(boot, 1)));
  const expected = { ...anyBurnIn(id, at(boot, 1)), run: 1, updated: at(boot, 1), verdict: null };
  expect(started).toEqual(expected);
  expect(room.store.burnIns()).toEqual([expected]);
  expect(room.store.appendJournal(1, at(boot, 2), 'intent', { toByte: 8 })).toBe(1);
  expect(room.store.appendJournal(1, at(boot, 3), 'progress', { errors: [{ lba: 1 }] })).toBe(2);
  room.store.updateBurnIn(1, at(boot, 4), 'finished', anyVerdict);
  expect(room.reopen().burnIns()).toEqual([
    { ...expected, state: 'finished', verdict: anyVerdict, updated: at(boot, 4) },
  ]);
  room.store.updateBurnIn(1, at(boot, 5), 'stopped', null);
  expect(room.store.burnIns()).toMatchObject([{ state: 'stopped', verdict: anyVerdict }]);
  expect(room.store.journal(1)).toEqual([
    { entry: 1, run: 1, kind: 'intent', at: at(boot, 2), body: { toByte: 8 } },
    { entry: 2, run: 1, kind: 'progress', at: at(boot, 3), body: { errors: [{ lba: 1 }] } },
  ]);
  expect(room.store.journal(2)).toEqual([]);
  expect(() => room.store.appendJournal(2, at(boot, 6), 'event', {})).toThrow('FOREIGN KEY');
  expect(() => room.store.updateBurnIn(2, at(boot, 6), 'paused', null)).toThrow('Burn-in 2');
});

test('findings are opened, held, acknowledged and cleared', () => {
  room.store.keepFindings(at(boot, 2), [{ kind: 'open', finding: anyFinding }]);
  expect(room.store.findings('open')).toEqual([{ ...anyFinding, id: 1 }]);
  expect(room.store.acknowledgeFinding(1)).toBe(true);
  expect(room.store.acknowledgeFinding(2)).toBe(false);
  expect(room.store.accountForFinding(2)).toBe(false);

  const held = { ...anyFinding, id: 1, measured: 30, openedMonoMs: 999 };
  room.store.keepFindings(at(boot, 3), [{ kind: 'hold', finding: held }]);
  const acknowledged = { ...anyFinding, id: 1, measured: 30, acknowledged: true };
  expect(room.store.findings('open')).toEqual([acknowledged]);

  const clearing = {
    ...held,
    clearedBoot: boot,
    clearedWallMs: newYear + 4,
    clearedWhy: 'taken-out' as const,
  };
  room.store.keepFindings(at(boot, 4), [{ kind: 'clear', finding: clearing }]);
  expect(room.store.findings('open')).toEqual([]);
  expect(room.reopen().findings('cleared')).toEqual([
    {
      ...acknowledged,
      state: 'cleared',
      clearedBoot: boot,
      clearedWallMs: newYear + 4,
      clearedWhy: 'taken-out',
    },
  ]);
  expect(room.store.findings('all')).toHaveLength(1);
  expect(room.store.accountForFinding(1)).toBe(true);
  expect(room.store.findings('all')).toMatchObject([{ accountedFor: true, acknowledged: true }]);
  const unknown = { ...anyFinding, id: 9 };
  expect(() => room.store.keepFindings(at(boot, 5), [{ kind: 'hold', finding: unknown }])).toThrow(
    'Finding 9 is not in the store',
  );
});

test('raw pages keep their bytes once, with a checksum and the reason of missing ones', () => {
  const { id } = room.store.keepPart(driveA, at(boot, 0));
  room.store.keepRawPages(id, at(boot, 1), 'arrival', anyCapture);
  room.store.keepRawPages(id, at(boot, 2), 'finding', anyCapture);
  const pages = room.reopen().rawPages(id);
  expect(pages.map(({ reason, record, place }) => [reason, record, place])).toEqual([
    ['arrival', 'identify-device', ''],
    ['arrival', 'log', 'log 4, page 5'],
    ['arrival', 'smart-data', ''],
    ['finding', 'identify-device', ''],
    ['finding', 'log', 'log 4, page 5'],
    ['finding', 'smart-data', ''],
  ]);
  // SHA-256 of the bytes 01 02 03, by `printf '\1\2\3' | sha256sum`.
  const checksum = '039058c6f2c0cb492c533b0a4d14ef77cc0f78abccced5287d84a1a2011cfb81';
  expect(pages[0]).toMatchObject({ sha256: checksum, at: at(boot, 1) });
  expect([...(pages[1]?.data ?? [])]).toEqual([4, 5, 6]);
  expect(pages[2]).toMatchObject({ failed: 'The drive refused' });

  const db = new Database(room.path);
  expect(db.prepare('SELECT count(*) FROM raw_data').pluck().get()).toBe(3);
  db.prepare('UPDATE raw_data SET data = ? WHERE sha256 = ?').run(Buffer.from([9]), checksum);
  db.close();
  expect(() => room.store.rawPages(id)).toThrow('does not fit its bytes');
  expect(
    createHash('sha256')
      .update(Buffer.from([1, 2, 3]))
      .digest('hex'),
  ).toBe(checksum);
});

test('jobs', () => {
  const job = {
    job: 'inventory',
    lastBoot: 1,
    lastMonoMs: 5,
    lastWallMs: newYear,
    lastPoweredMs: 7,
    outcome: 'done',
  };
  room.store.jobRan({ ...job, outcome: 'failed: no' });
  room.store.jobRan(job);
  expect(room.reopen().jobs()).toEqual([job]);
});

describe('the folder', () => {
  const mode = (path: string) => (statSync(path).mode & 0o7777).toString(8);
  let folder: string;

  beforeEach(() => {
    folder = temporaryFolder();
  });

  afterEach(() => rmSync(folder, { recursive: true, force: true }));

  test('is made for its owner alone', () => {
    const path = join(folder, 'new', 'store.sqlite');
    prepareStoreFolder(path, null);
    expect([mode(join(folder, 'new')), mode(path)]).toEqual(['700', '600']);
    expect(statSync(path).size).toBe(0);
  });

  test('that belongs to somebody else keeps its mode', () => {
    const theirs = join(folder, 'theirs');
    mkdirSync(theirs);
    chmodSync(theirs, 0o1777);
    prepareStoreFolder(join(theirs, 'store.sqlite'), null);
    expect(mode(theirs)).toBe('1777');
  });

  test('is opened to the group of the web user, also when it was private before', () => {
    const group = process.getgid?.() === 0 ? 65534 : (process.getgid?.() ?? 0);
    const path = join(folder, 'bayward', 'store.sqlite');
    prepareStoreFolder(path, null);
    prepareStoreFolder(path, group);
    expect([mode(join(folder, 'bayward')), mode(path)]).toEqual(['2750', '640']);
    expect([statSync(join(folder, 'bayward')).gid, statSync(path).gid]).toEqual([group, group]);
    prepareStoreFolder(path, null);
    expect([mode(join(folder, 'bayward')), mode(path)]).toEqual(['700', '600']);
    expect(existsSync(`${path}-wal`)).toBe(false);
  });
});
