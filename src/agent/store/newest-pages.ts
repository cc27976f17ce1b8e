/**
 * What is written: the bytes of each record that a drive gave, with their checksum, in place of the
 * bytes that it gave before, so that each figure can be followed to its bytes and the store stays
 * small. A record that failed this time leaves the bytes of the last time, with the time of those.
 * All records of one look are one transaction of the caller: a cut leaves all or none of them.
 */
import { createHash } from 'node:crypto';
import type { Database } from 'better-sqlite3';
import type { Capture, RawPage } from '../../checks/capture.js';
import { newestPageSchema } from './row-schemas.js';
import type { Instant, NewestPage } from './rows.js';
import { damagedRow, decodeRow } from './rows-decode.js';

const upsert = `INSERT INTO newest_page
  (part_id, record, log, subpage, page, nsid, boot, mono_ms, wall_ms, command_set, sha256, data)
  VALUES (@partId, @record, @log, @subpage, @page, @nsid, @boot, @monoMs, @wallMs, @commandSet,
    @sha256, @data)
  ON CONFLICT (part_id, record, log, subpage, page, nsid) DO UPDATE SET
    boot = excluded.boot, mono_ms = excluded.mono_ms, wall_ms = excluded.wall_ms,
    command_set = excluded.command_set, sha256 = excluded.sha256, data = excluded.data`;

const select = `SELECT record, log, subpage, page, nsid, boot, mono_ms AS monoMs,
  wall_ms AS wallMs, command_set AS commandSet, sha256, data
  FROM newest_page WHERE part_id = ? ORDER BY id`;

export type KeepNewestPages = (partId: number, at: Instant, capture: Capture) => void;

export function newestPageWriting(db: Database): KeepNewestPages {
  const keep = db.prepare(upsert);
  return (partId, at, { commandSet, pages }) => {
    for (const page of pages.filter(({ failed }) => failed === undefined)) {
      const { record, data } = page;
      const numbers = numbersOf(page);
      keep.run({ partId, ...at, commandSet, record, ...numbers, sha256: sha256Of(data), data });
    }
  };
}

export function newestPageQuery(db: Database): (partId: number) => readonly NewestPage[] {
  const all = db.prepare(select);
  return (partId) => all.all(partId).map(newestPageOf);
}

function numbersOf({ log = -1, subpage = -1, page = -1, nsid = -1 }: RawPage) {
  return { log, subpage, page, nsid };
}

function sha256Of(data: Uint8Array): string {
  return createHash('sha256').update(data).digest('hex');
}

/** The checksum is worked out again: bytes that changed on disk are no evidence. */
function newestPageOf(row: unknown): NewestPage {
  const decoded = decodeRow('newest_page', newestPageSchema, row);
  const { boot, monoMs, wallMs, commandSet, sha256, record, data, ...numbers } = decoded;
  if (sha256Of(data) !== sha256) {
    throw damagedRow('newest_page', `checksum ${sha256} does not fit its bytes`);
  }
  const has = Object.entries(numbers).filter(([, number]) => number >= 0);
  return {
    page: { record, ...Object.fromEntries(has), data: new Uint8Array(data) },
    commandSet,
    at: { boot, monoMs, wallMs },
    sha256,
  };
}
