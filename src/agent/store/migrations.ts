/**
 * What is written: the tables of the store, once, each migration and its number (`user_version`)
 * in one transaction. Order: check the file's own header, open, check again, migrate in sequence.
 * A cut between two migrations leaves a store of the earlier number, which the next start brings
 * up to date; a cut inside one leaves it as if that migration had not begun.
 *
 * The list is append-only: a migration that has been released is never edited.
 */
import { closeSync, openSync, readSync } from 'node:fs';
import type { Database } from 'better-sqlite3';
import { exitCodes, UserError } from '../../checks/user-error.js';
import { controllerLogTable } from './controller-log-table.js';
import { eventTables } from './event-tables.js';
import { findingColumns } from './finding-columns.js';
import { firstTables } from './first-tables.js';
import { goneColumns } from './gone-columns.js';
import { newestPageTable } from './newest-page-table.js';
import { recentReadingTables } from './recent-reading-tables.js';

const migrations: readonly string[] = [
  firstTables,
  eventTables,
  controllerLogTable,
  goneColumns,
  newestPageTable,
  findingColumns,
  recentReadingTables,
];

/** Number of the newest migration that this program knows. */
export const storeVersion = migrations.length;

/** "BAYW": marks a SQLite file as a store of Bayward. */
const applicationId = 0x42415957;

/** Refuses a file that is no store, or a newer one, without opening it as a database. */
export function checkFileHeader(path: string): void {
  const header = readHeader(path);
  if (header.length === 0) {
    return;
  }
  if (header.length < 100 || header.toString('latin1', 0, 16) !== 'SQLite format 3\0') {
    throw notAStore(path, 'it does not begin as a SQLite file does');
  }
  checkVersion(path, header.readUInt32BE(60));
  const id = header.readUInt32BE(68);
  if (id !== 0) {
    checkApplication(path, id);
  }
}

/** Checks an opened store's own word, which may still be in its write-ahead log. */
export function checkOpened(db: Database, path: string): void {
  checkVersion(path, versionOf(db));
  const id = Number(db.pragma('application_id', { simple: true }));
  const empty = db.prepare('SELECT count(*) FROM sqlite_master').pluck().get() === 0;
  if (!(id === 0 && empty)) {
    checkApplication(path, id);
  }
}

/** For readers, who cannot migrate: the store must be of this program's own version. */
export function checkReadable(db: Database, path: string): void {
  checkOpened(db, path);
  const version = versionOf(db);
  if (version < storeVersion) {
    throw new UserError(
      version === 0 ? 'store-empty' : 'store-older',
      version === 0
        ? `Store ${path} is still empty`
        : `Store ${path} has version ${version}, this program reads version ${storeVersion}`,
      { exitCode: exitCodes.interrupted, hint: 'Start the agent: it fills and updates the store' },
    );
  }
}

/** Brings a checked store to the newest version. */
export function migrate(db: Database): void {
  const version = versionOf(db);
  for (const [index, text] of migrations.entries()) {
    if (index >= version) {
      db.transaction(() => {
        db.exec(text);
        db.pragma(`application_id = ${applicationId}`);
        db.pragma(`user_version = ${index + 1}`);
      }).immediate();
    }
  }
}

function versionOf(db: Database): number {
  return Number(db.pragma('user_version', { simple: true }));
}

/** The first 100 bytes of a file, fewer when it is shorter. */
export function readHeader(path: string): Buffer {
  const file = openSync(path, 'r');
  try {
    const header = Buffer.alloc(100);
    return header.subarray(0, readSync(file, header, 0, 100, 0));
  } finally {
    closeSync(file);
  }
}

function checkVersion(path: string, version: number): void {
  if (version > storeVersion) {
    throw new UserError(
      'store-newer',
      `Store ${path} has version ${version}, but this program knows versions up to ${storeVersion}`,
      {
        exitCode: exitCodes.badInput,
        hint: 'Start the newer Bayward that wrote it; nothing in the store was touched',
      },
    );
  }
}

function checkApplication(path: string, id: number): void {
  if (id !== applicationId) {
    throw notAStore(path, 'it is a database of another program');
  }
}

function notAStore(path: string, why: string): UserError {
  return new UserError('not-a-store', `File ${path} is not a store of Bayward: ${why}`, {
    exitCode: exitCodes.badInput,
    hint: 'Name another place with --store, or move the file away; it was not touched',
  });
}
