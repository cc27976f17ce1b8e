/** The newest bytes of each record are kept, with the moment and the checksum of their own. */
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Capture, RawPage } from '../../../src/checks/capture.js';
import { anyCapture } from './examples.js';
import {
  at,
  driveA,
  driveB,
  newYear,
  type TemporaryStore,
  temporaryStore,
} from './temporary-store.js';

let room: TemporaryStore;
let boot: number;
let id: number;

beforeEach(() => {
  room = temporaryStore();
  boot = room.store.beginBoot('boot-1', newYear);
  id = room.store.keepPart(driveA, at(boot, 0)).id;
});

afterEach(() => room.remove());

function captureOf(...pages: readonly RawPage[]): Capture {
  return { ...anyCapture, pages };
}

function kept() {
  return room.store.newestPages(id).map(({ page, at: { monoMs } }) => ({ ...page, monoMs }));
}

test('each record has one row, which the next look replaces', () => {
  room.store.keepNewestPages(id, at(boot, 1), anyCapture);
  const data = Uint8Array.from([9, 9]);
  room.store.keepNewestPages(id, at(boot, 2), captureOf({ record: 'log', log: 4, page: 5, data }));
  room.reopen();
  expect(kept()).toEqual([
    { record: 'identify-device', data: Uint8Array.from([1, 2, 3]), monoMs: 1 },
    { record: 'log', log: 4, page: 5, data, monoMs: 2 },
  ]);
  expect(room.store.newestPages(id)[0]).toMatchObject({
    commandSet: 'ata',
    // SHA-256 of the bytes 01 02 03, by `printf '\1\2\3' | sha256sum`.
    sha256: '039058c6f2c0cb492c533b0a4d14ef77cc0f78abccced5287d84a1a2011cfb81',
  });
});

test('records that differ in one number only are two, and so are two drives', () => {
  const data = Uint8Array.from([7]);
  const log = { record: 'log', log: 4, data } as const;
  const pages: readonly RawPage[] = [log, { ...log, page: 0 }, { ...log, page: 1 }];
  room.store.keepNewestPages(id, at(boot, 1), captureOf(...pages));
  const other = room.store.keepPart(driveB, at(boot, 1)).id;
  room.store.keepNewestPages(other, at(boot, 5), captureOf(log));
  expect(kept()).toEqual(pages.map((page) => ({ ...page, monoMs: 1 })));
});

test('a record that failed this time leaves the bytes of the last time', () => {
  const data = Uint8Array.from([5]);
  const failed = { reason: 'The drive did not answer in time' };
  room.store.keepNewestPages(id, at(boot, 1), captureOf({ record: 'smart-data', data }));
  const none = { record: 'smart-data', data: new Uint8Array(), failed } as const;
  room.store.keepNewestPages(id, at(boot, 2), captureOf(none));
  expect(kept()).toEqual([{ record: 'smart-data', data, monoMs: 1 }]);
});

test('bytes that changed on disk are refused', () => {
  room.store.keepNewestPages(id, at(boot, 1), anyCapture);
  const db = new Database(room.path);
  db.prepare('UPDATE newest_page SET data = ? WHERE log = 4').run(Buffer.from([4, 5, 7]));
  db.close();
  expect(() => room.store.newestPages(id)).toThrow('does not fit its bytes');
});
