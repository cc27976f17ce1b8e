/** The reader in every state that a writer can leave a store in, as its owner and as nobody. */
import { chmodSync, chownSync, copyFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test, vi } from 'vitest';
import { prepareStoreFolder } from '../../../src/agent/store/folder.js';
import { openReader } from '../../../src/agent/store/read.js';
import type { StoreWriter } from '../../../src/agent/store/store.js';
import { openStore } from '../../../src/agent/store/write.js';
import { bundleChild, runChild, startChild } from './child.js';
import { at, day, driveA, figure, newYear, setClock, temporaryFolder } from './temporary-store.js';

// Each case starts real children, one after the other.
vi.setConfig({ testTimeout: 60_000 });

const nobody = 65534;
const isRoot = process.getuid?.() === 0;

let folder: string;
let path: string;
let readerProgram: string;
let writerProgram: string;

beforeAll(() => {
  readerProgram = bundleChild('child-reader');
  writerProgram = bundleChild('child-writer');
});

afterAll(() => {
  rmSync(readerProgram, { force: true });
  rmSync(writerProgram, { force: true });
});

beforeEach(() => {
  folder = temporaryFolder();
  // The folder above is made for its owner alone; the store's own folder is the one that is tested.
  chmodSync(folder, 0o755);
  path = join(folder, 'bayward', 'store.sqlite');
  prepareStoreFolder(path, isRoot ? nobody : null);
});

afterEach(() => rmSync(folder, { recursive: true, force: true }));

function fill(value: number): StoreWriter {
  const store = openStore(path, setClock());
  const boot = store.beginBoot('boot-1', newYear);
  const part = store.keepPart(driveA, at(boot, 0));
  store.keepReadings(part.id, at(boot, 1), [figure('temperature', value)]);
  return store;
}

/** Reads as this user here, and as nobody in a child when that is possible. */
function readAll(): readonly unknown[] {
  const users = isRoot ? [undefined, nobody] : [undefined];
  return users.map((user) => {
    const { output, problems } = runChild(readerProgram, [path], user);
    expect(problems).toBe('');
    return JSON.parse(output);
  });
}

function expectAll(expected: object): void {
  for (const answer of readAll()) expect(answer).toMatchObject(expected);
}

test('a living writer: new rows are seen, and the reader makes no file', () => {
  const store = fill(31);
  expectAll({ values: [31], writerPresent: true });
  store.keepReadings(1, at(1, 2), [figure('temperature', 32)]);
  expectAll({ values: [32], writerPresent: true });
  store.close();
});

test('a writer killed with -9: everything is read', async () => {
  const child = startChild(writerProgram, [path, 'hold']);
  await child.said('ready');
  await child.kill();
  expect(readdirSync(join(folder, 'bayward'))).toContain('store.sqlite-wal');
  expectAll({ values: [33], writerPresent: true });
});

test('a clean close: read, no file made, and the writer known to be gone', () => {
  fill(34).close();
  expectAll({ values: [34], writerPresent: false, files: ['store.sqlite'] });
});

test('a close that was cut short before it left write-ahead mode: read from a copy', () => {
  fill(35).close();
  const db = new Database(path);
  db.pragma('journal_mode = WAL');
  db.close();
  expectAll({ values: [35], writerPresent: false, files: ['store.sqlite'] });
});

test('a log without its index is refused, since it may hold the newest rows', async () => {
  const child = startChild(writerProgram, [path, 'hold']);
  await child.said('ready');
  await child.kill();
  rmSync(`${path}-shm`);
  expectAll({ refused: 'store-waits', exitCode: 5 });
  expect(readdirSync(join(folder, 'bayward'))).not.toContain('store.sqlite-shm');
  // The writer repairs it at its next start.
  fill(36).close();
  expectAll({ values: [36], writerPresent: false });
});

test('an empty store file is no store yet', () => {
  expectAll({ refused: 'store-empty', exitCode: 5 });
});

test('no store at all', () => {
  rmSync(path);
  expect(() => openReader(path)).toThrow(`Store ${path} does not exist`);
});

test('a damaged store and a newer one are refused', () => {
  writeFileSync(path, 'not a database at all, but some text that is long enough '.repeat(3));
  expectAll({ refused: 'not-a-store', exitCode: 2 });
  rmSync(path);
  prepareStoreFolder(path, isRoot ? nobody : null);
  fill(1).close();
  const db = new Database(path);
  db.pragma('user_version = 1000');
  db.close();
  expectAll({ refused: 'store-newer', exitCode: 2 });
});

// Only root may become nobody.
describe.runIf(isRoot)('as nobody', () => {
  test('a folder that nobody may enter is a clear refusal', () => {
    fill(1).close();
    chownSync(join(folder, 'bayward'), 0, 0);
    const { output } = runChild(readerProgram, [path], nobody);
    expect(JSON.parse(output)).toEqual({ refused: 'store-not-opened', exitCode: 3 });
  });
});

test('a store that this user may only read is refused by the writer', () => {
  fill(1).close();
  chmodSync(path, 0o440);
  const { output } = runChild(writerProgram, [path, 'hold'], isRoot ? nobody : undefined);
  expect(JSON.parse(output)).toEqual({ refused: 'store-not-writable', exitCode: 3 });
});

describe('a reader that stays open', () => {
  test('sees the agent stop cleanly, start again, and go on', () => {
    fill(40).close();
    const reader = openReader(path);
    expect(reader.writerPresent).toBe(false);
    expect(reader.latest(1)).toMatchObject([{ value: 40 }]);
    const store = fill(41);
    expect(reader.writerPresent).toBe(true);
    expect(reader.latest(1)).toMatchObject([{ value: 41 }]);
    store.close();
    expect(reader.latest(1)).toMatchObject([{ value: 41 }]);
    const again = fill(42);
    expect(reader.latest(1)).toMatchObject([{ value: 42 }]);
    again.close();
    reader.close();
  });

  test('leaves its copy in memory when the writer comes back', () => {
    fill(43).close();
    const db = new Database(path);
    db.pragma('journal_mode = WAL');
    db.close();
    const reader = openReader(path);
    expect(reader.latest(1)).toMatchObject([{ value: 43 }]);
    const store = fill(44);
    expect(reader.latest(1)).toMatchObject([{ value: 44 }]);
    expect(reader.writerPresent).toBe(true);
    store.close();
    reader.close();
  });

  test('notices that the file was replaced, and says so when it is gone', () => {
    fill(45).close();
    const reader = openReader(path);
    const other = join(folder, 'other.sqlite');
    copyFileSync(path, other);
    rmSync(path);
    expect(() => reader.parts()).toThrow('does not exist');
    fill(46).close();
    expect(reader.latest(1)).toMatchObject([{ value: 46 }]);
    reader.close();
  });

  test('cannot write', () => {
    const store = fill(47);
    const reader = openReader(path);
    expect('keepPart' in reader).toBe(false);
    expect(reader.boots()).toMatchObject([{ id: 1, startedWall: newYear }]);
    expect(reader.readings(1, newYear - day)).toHaveLength(1);
    reader.close();
    store.close();
  });
});
