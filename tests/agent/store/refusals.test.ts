/** Stores that must not be touched, and disks that do not take what is written. */
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { openStore } from '../../../src/agent/store/write.js';
import { UserError } from '../../../src/checks/user-error.js';
import { at, driveA, figure, newYear, setClock, temporaryFolder } from './temporary-store.js';

const isRoot = process.getuid?.() === 0;

let folder: string;
let path: string;

beforeEach(() => {
  folder = temporaryFolder();
  path = join(folder, 'store.sqlite');
});

afterEach(() => {
  vi.restoreAllMocks();
  rmSync(folder, { recursive: true, force: true });
});

function refusal(work: () => unknown): UserError {
  try {
    work();
  } catch (error) {
    if (error instanceof UserError) return error;
    throw error;
  }
  throw new Error('Nothing was refused');
}

function checksum(file = path): string {
  return createHash('sha256').update(readFileSync(file)).digest('hex');
}

function makeStore(): void {
  const store = openStore(path, setClock());
  const boot = store.beginBoot('boot-1', newYear);
  const { id } = store.keepPart(driveA, at(boot, 0));
  store.keepReadings(id, at(boot, 1), [figure('temperature', 30)]);
  store.close();
}

describe('files that are left alone', () => {
  test('a store of a newer version', () => {
    makeStore();
    const db = new Database(path);
    db.pragma('user_version = 1000');
    db.close();
    const before = checksum();
    const error = refusal(() => openStore(path, setClock()));
    expect([error.code, error.exitCode]).toEqual(['store-newer', 2]);
    expect(error.message).toBe(
      `Store ${path} has version 1000, but this program knows versions up to 7`,
    );
    expect(checksum()).toBe(before);
    expect(readdirSync(folder)).toEqual(['store.sqlite']);
  });

  test('a newer version that only its log tells of', () => {
    makeStore();
    const db = new Database(path);
    db.pragma('journal_mode = WAL');
    db.pragma('user_version = 1000');
    const error = refusal(() => openStore(path, setClock()));
    expect(error.code).toBe('store-newer');
    expect(db.pragma('user_version', { simple: true })).toBe(1000);
    db.close();
  });

  test.each([
    ['text', Buffer.from('Dear diary, this is a text of some length.'.repeat(5))],
    ['a few bytes', Buffer.from('SQLite')],
    ['zeros', Buffer.alloc(8192)],
  ])('%s', (_name, bytes) => {
    writeFileSync(path, bytes);
    const error = refusal(() => openStore(path, setClock()));
    expect([error.code, error.exitCode]).toEqual(['not-a-store', 2]);
    expect(readFileSync(path).equals(bytes)).toBe(true);
  });

  test.each([0, 77])('a database of another program, with application id %i', (id) => {
    const db = new Database(path);
    db.exec('CREATE TABLE somebody_elses (a)');
    db.pragma(`application_id = ${id}`);
    db.close();
    const before = checksum();
    const error = refusal(() => openStore(path, setClock()));
    expect([error.code, error.exitCode]).toEqual(['not-a-store', 2]);
    expect(checksum()).toBe(before);
  });

  test('a store with damaged pages', () => {
    makeStore();
    const bytes = readFileSync(path);
    bytes.fill(0xa5, 4096, bytes.length);
    writeFileSync(path, bytes);
    const error = refusal(() => openStore(path, setClock()));
    expect([error.code, error.exitCode]).toEqual(['store-damaged', 2]);
    expect(readFileSync(path).equals(bytes)).toBe(true);
  });

  test('a store that was cut off', () => {
    makeStore();
    const bytes = readFileSync(path);
    writeFileSync(path, bytes.subarray(0, bytes.length - 4096 * 3));
    expect(refusal(() => openStore(path, setClock())).code).toBe('store-damaged');
  });

  test('a row that breaks its own rules is named, not believed', () => {
    makeStore();
    const db = new Database(path);
    db.exec("UPDATE part SET kind = 'teapot'");
    db.close();
    const store = openStore(path, setClock());
    const error = refusal(() => store.parts());
    expect([error.code, error.exitCode]).toEqual(['store-damaged', 2]);
    expect(error.message).toContain('table part, column kind');
    store.close();
  });

  test.each([
    ['part', "UPDATE part SET details = '{broken'", 'is not JSON'],
    ['part', "UPDATE part SET details = '[]'", 'column details'],
  ])('text in table %s that is not what it should be', (_table, statement, words) => {
    makeStore();
    const db = new Database(path);
    db.exec(statement);
    db.close();
    const store = openStore(path, setClock());
    expect(refusal(() => store.parts()).message).toContain(words);
    store.close();
  });
});

describe('disks that do not take it', () => {
  test('a full store: the call says so, what was there stays, and space makes it work again', () => {
    const pragma = vi.spyOn(Database.prototype, 'pragma');
    const store = openStore(path, setClock());
    const db = pragma.mock.contexts[0] as Database.Database;
    const boot = store.beginBoot('boot-1', newYear);
    const { id } = store.keepPart(driveA, at(boot, 0));
    store.keepReadings(id, at(boot, 1), [figure('temperature', 30)]);
    db.pragma('wal_checkpoint(TRUNCATE)');
    db.pragma(`max_page_count = ${db.pragma('page_count', { simple: true })}`);
    const fill = (mono: number) =>
      store.keepPart({ ...driveA, details: { filling: 'x'.repeat(40_000) } }, at(boot, mono));
    const error = refusal(() => fill(10));
    expect([error.code, error.exitCode]).toEqual(['store-full', 5]);
    expect(store.parts()).toMatchObject([{ details: driveA.details, lastSeen: { monoMs: 0 } }]);
    db.pragma('max_page_count = 100000');
    fill(20);
    expect(store.parts()).toMatchObject([{ lastSeen: { monoMs: 20 } }]);
    store.close();
  });

  // Only root may mount; the test above shows the same without a mount.
  test.runIf(isRoot)('a full disk: nothing that was acknowledged is lost', () => {
    const small = join(folder, 'small');
    mkdirSync(small);
    const mounted = spawnSync('mount', ['-t', 'tmpfs', '-o', 'size=1m', 'tmpfs', small]);
    expect(mounted.status).toBe(0);
    try {
      const store = openStore(join(small, 'store.sqlite'), setClock());
      const boot = store.beginBoot('boot-1', newYear);
      const { id } = store.keepPart(driveA, at(boot, 0));
      let kept = 0;
      const error = refusal(() => {
        for (; kept < 10_000; kept += 1) {
          store.keepReadings(id, at(boot, kept), [figure('temperature', kept)]);
        }
      });
      expect(error.code).toBe('store-full');
      expect(kept).toBeGreaterThan(0);
      expect(store.readings(1, 0)).toHaveLength(kept);
      store.close();
      const again = openStore(join(small, 'store.sqlite'), setClock());
      expect(again.readings(1, 0)).toHaveLength(kept);
      again.close();
    } finally {
      spawnSync('umount', [small]);
    }
  });

  test('a folder that cannot be made', () => {
    writeFileSync(join(folder, 'file'), '');
    const error = refusal(() => openStore(join(folder, 'file', 'store.sqlite'), setClock()));
    expect([error.code, error.exitCode]).toEqual(['store-not-opened', 3]);
  });

  test('a folder in the place of the store', () => {
    mkdirSync(path);
    expect(refusal(() => openStore(path, setClock())).exitCode).toBe(3);
  });
});
