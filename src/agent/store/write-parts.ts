/**
 * What is written: one row per part, found again by its identity key and written when something
 * of it changed, with the look that did not find it any more; when it was last seen, in a small row
 * of its own; raw pages with the checksum of their bytes, the bytes first and once. Each
 * function runs inside a transaction of its caller.
 */
import { createHash } from 'node:crypto';
import type { Database } from 'better-sqlite3';
import type { Capture, RawPage } from '../../checks/capture.js';
import type { Instant, PartToKeep } from './rows.js';

export interface PartWriting {
  /** Returns the part's number. */
  keepPart(part: PartToKeep, at: Instant): number;
  markGone(identityKey: string, since: Instant | null): void;
  keepRawPages(partId: number, at: Instant, reason: string, capture: Capture): void;
}

const upsert = `INSERT INTO part
  (kind, identity_key, name, label, details, first_boot, first_wall_ms, last_boot, last_mono_ms, last_wall_ms)
  VALUES (@kind, @identityKey, @name, @label, @details, @boot, @wallMs, @boot, @monoMs, @wallMs)
  ON CONFLICT (identity_key) DO UPDATE SET
    kind = excluded.kind, name = excluded.name, label = excluded.label, details = excluded.details,
    last_boot = excluded.last_boot, last_mono_ms = excluded.last_mono_ms,
    last_wall_ms = excluded.last_wall_ms
  RETURNING id`;

const same = `SELECT id FROM part WHERE identity_key = @identityKey AND kind = @kind
  AND name = @name AND label = @label AND details = @details`;

const insertPage = `INSERT INTO raw_page
  (part_id, boot, mono_ms, wall_ms, reason, command_set, taken, record, log, subpage, page, nsid, failed, sha256)
  VALUES (@partId, @boot, @monoMs, @wallMs, @reason, @commandSet, @taken, @record, @log, @subpage,
    @page, @nsid, @failed, @sha256)`;

export function partWriting(db: Database): PartWriting {
  const unchanged = db.prepare(same).pluck();
  const change = db.prepare(upsert).pluck();
  const see = db.prepare('INSERT OR REPLACE INTO part_seen VALUES (@id, @boot, @monoMs, @wallMs)');
  const mark = db.prepare(
    `UPDATE part SET gone_boot = @boot, gone_mono_ms = @monoMs, gone_wall_ms = @wallMs
     WHERE identity_key = @identityKey`,
  );
  const keepData = db.prepare('INSERT OR IGNORE INTO raw_data (sha256, data) VALUES (?, ?)');
  const keepPage = db.prepare(insertPage);

  const keepOne = (page: RawPage, shared: object): void => {
    const sha256 = createHash('sha256').update(page.data).digest('hex');
    keepData.run(sha256, Buffer.from(page.data));
    keepPage.run({
      ...shared,
      sha256,
      record: page.record,
      log: page.log ?? null,
      subpage: page.subpage ?? null,
      page: page.page ?? null,
      nsid: page.nsid ?? null,
      failed: page.failed?.reason ?? null,
    });
  };
  return {
    keepPart: ({ kind, identityKey, name, label, details }, at) => {
      const part = { kind, identityKey, name, label, details: JSON.stringify(details) };
      const id = Number(unchanged.get(part) ?? change.get({ ...part, ...at }));
      see.run({ id, ...at });
      return id;
    },
    markGone: (identityKey, since) => {
      mark.run({ identityKey, ...(since ?? { boot: null, monoMs: null, wallMs: null }) });
    },
    keepRawPages: (partId, at, reason, capture) => {
      const { commandSet, taken } = capture;
      for (const page of capture.pages) {
        keepOne(page, { partId, ...at, reason, commandSet, taken });
      }
    },
  };
}
