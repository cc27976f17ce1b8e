/**
 * Nothing is written here, and no file is made. How the store is opened depends on what its writer
 * left beside it:
 *
 * - A write-ahead log and its index: the writer lives or was killed. Opened read-only.
 * - No log, and the file not in write-ahead mode: the writer closed cleanly. Opened read-only.
 * - No log, but the file in write-ahead mode: a close was cut short. SQLite would have to make the
 *   log's files, which a reader may not: the file is copied into memory and read there. Never
 *   while a log exists, for that would hide the newest rows.
 * - A log without its index: only the writer can repair that.
 *
 * Before each question the reader looks whether the store was replaced or its writer came back.
 */
import { existsSync, readFileSync, statSync } from 'node:fs';
import Database from 'better-sqlite3';
import { exitCodes, UserError } from '../../checks/user-error.js';
import { checkFileHeader, checkReadable, readHeader } from './migrations.js';
import { makeQueries, type Queries, queriesThrough } from './queries.js';
import type { StoreReader } from './store.js';
import { wordingProblems } from './store-problem.js';

interface Connection {
  readonly db: Database.Database;
  readonly queries: Queries;
  /** Changes when the file must be opened anew. */
  readonly stamp: string;
}

/** Opens the store at `path` for reading. */
export function openReader(path: string): StoreReader {
  let connection = wordingProblems(path, () => connect(path));
  const current = (): Connection => {
    if (stampOf(path, connection.db.memory) !== connection.stamp) {
      const next = connect(path);
      connection.db.close();
      connection = next;
    }
    return connection;
  };
  const ask = <T>(question: (queries: Queries) => T): T =>
    wordingProblems(path, () => {
      const { db, queries } = current();
      return db.transaction(() => question(queries)).deferred();
    });
  return {
    get writerPresent() {
      return existsSync(logOf(path));
    },
    ...queriesThrough(ask),
    close: () => {
      connection.db.close();
    },
  };
}

/** Loads the database's own code now, for a process that may not be able to read it later. */
export function loadDatabaseCode(): void {
  new Database(':memory:').close();
}

function connect(path: string): Connection {
  // A file in a folder that may not be entered is an error of its own, not an absent file.
  if (statSync(path, { throwIfNoEntry: false }) === undefined) {
    throw new UserError('no-store', `Store ${path} does not exist`, {
      exitCode: exitCodes.badInput,
      hint: 'Start the agent first, or name another place with --store',
    });
  }
  checkFileHeader(path);
  const db = openAsFound(path);
  try {
    checkReadable(db, path);
    return { db, queries: makeQueries(db), stamp: stampOf(path, db.memory) };
  } catch (error) {
    db.close();
    throw error;
  }
}

function openAsFound(path: string): Database.Database {
  if (existsSync(logOf(path))) {
    if (!existsSync(`${path}-shm`)) {
      throw new UserError('store-waits', `Store ${path} cannot be read until the agent starts`, {
        exitCode: exitCodes.interrupted,
        hint: 'Its newest rows are in a log whose index is missing; the agent repairs it at start',
      });
    }
    return new Database(path, { readonly: true, fileMustExist: true, timeout: 5000 });
  }
  return inLogMode(path)
    ? copyInMemory(path)
    : new Database(path, { readonly: true, fileMustExist: true, timeout: 5000 });
}

/** Bytes 18 and 19 of a SQLite file: 2 means write-ahead mode (SQLite file format, 1.3.3). */
function inLogMode(path: string): boolean {
  return readHeader(path).subarray(18, 20).includes(2);
}

function copyInMemory(path: string): Database.Database {
  const bytes = readFileSync(path);
  bytes.fill(1, 18, 20);
  return new Database(bytes, { readonly: true });
}

function stampOf(path: string, inMemory: boolean): string {
  const found = statSync(path, { throwIfNoEntry: false });
  if (found === undefined) {
    return 'gone';
  }
  const { ino, mtimeMs, size } = found;
  return inMemory ? `${ino} ${mtimeMs} ${size} ${existsSync(logOf(path))}` : `${ino}`;
}

function logOf(path: string): string {
  return `${path}-wal`;
}
