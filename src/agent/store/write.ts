/**
 * What is written: everything in the store, by this connection alone. Order: each call is one
 * transaction, begun and committed before it returns, so that a cut leaves a call done or not
 * begun. In general a commit may be lost to a power cut (synchronous=NORMAL), never half kept;
 * burn-ins and their journal are on disk before their call returns (synchronous=FULL).
 *
 * A clean close takes the store out of write-ahead mode, so that it can be read by somebody who
 * may not write beside it.
 */
import { existsSync } from 'node:fs';
import Database from 'better-sqlite3';
import { metricInfo } from '../../checks/metrics.js';
import { exitCodes, UserError } from '../../checks/user-error.js';
import type { Clock } from '../clock.js';
import { prepareStoreFolder } from './folder.js';
import { checkFileHeader, checkOpened, migrate } from './migrations.js';
import { newestPageWriting } from './newest-pages.js';
import { makeQueries, partQuery, queriesThrough } from './queries.js';
import type { StoreWriter } from './store.js';
import { wordingProblems } from './store-problem.js';
import { thinning } from './thin.js';
import { bootWriting } from './write-boots.js';
import { eventWriting } from './write-events.js';
import { findingWriting } from './write-findings.js';
import { partWriting } from './write-parts.js';
import { type GaugeTest, readingWriting } from './write-readings.js';
import { workWriting } from './write-work.js';

export interface StoreOptions {
  /** Tells gauges from counters and states; by default the list of metrics does. */
  readonly isGauge?: GaugeTest;
}

/** Opens the store at `path` for writing, makes it if it is not there, brings it up to date. */
export function openStore(path: string, clock: Clock, options: StoreOptions = {}): StoreWriter {
  const isGauge = options.isGauge ?? ((metric) => metricInfo(metric).kind === 'gauge');
  return wordingProblems(path, () => {
    const db = openDatabase(path);
    try {
      return writerOver(db, { path, clock, isGauge });
    } catch (error) {
      db.close();
      throw error;
    }
  });
}

function openDatabase(path: string): Database.Database {
  if (!existsSync(path)) {
    prepareStoreFolder(path, null);
  }
  checkFileHeader(path);
  const db = new Database(path, { timeout: 5000 });
  try {
    checkOpened(db, path);
    const wrong = db.pragma('quick_check(1)', { simple: true });
    if (wrong !== 'ok') {
      throw new UserError('store-damaged', `Store ${path} is damaged: ${String(wrong)}`, {
        exitCode: exitCodes.badInput,
        hint: 'Move the file away and put a copy back; starting without it begins a new history',
      });
    }
    db.pragma('journal_mode = WAL');
    db.pragma('synchronous = NORMAL');
    db.pragma('foreign_keys = ON');
    migrate(db);
    return db;
  } catch (error) {
    db.close();
    throw error;
  }
}

interface WriterParts {
  readonly path: string;
  readonly clock: Clock;
  readonly isGauge: GaugeTest;
}

function writerOver(db: Database.Database, parts: WriterParts): StoreWriter {
  const { path, clock, isGauge } = parts;
  const act = <T>(work: () => T): T =>
    wordingProblems(path, () => db.transaction(work).immediate());
  const durably = <T>(work: () => T): T => {
    db.pragma('synchronous = FULL');
    try {
      return act(work);
    } finally {
      db.pragma('synchronous = NORMAL');
    }
  };
  const queries = makeQueries(db);
  const partById = partQuery(db);
  const boots = bootWriting(db, clock);
  const kept = partWriting(db);
  const keepNewest = newestPageWriting(db);
  const keepReadings = readingWriting(db, isGauge);
  const work = workWriting(db);
  const judged = findingWriting(db);
  const keepEvents = eventWriting(db);
  const thin = thinning(db);
  return {
    ...queriesThrough((question) => wordingProblems(path, () => question(queries))),
    writerPresent: true,
    together: (calls) => act(calls),
    beginBoot: (bootId, wallMs) => act(() => boots.beginBoot(bootId, wallMs)),
    markWallTrust: (boot, trusted) => act(() => boots.markWallTrust(boot, trusted)),
    keepPart: (part, at) => act(() => partById(kept.keepPart(part, boots.touch(at)))),
    markGone: (key, since) =>
      act(() => kept.markGone(key, since === null ? null : boots.touch(since))),
    keepReadings: (id, at, readings) => act(() => keepReadings(id, boots.touch(at), readings)),
    keepRawPages: (id, at, reason, capture) =>
      act(() => kept.keepRawPages(id, boots.touch(at), reason, capture)),
    keepNewestPages: (id, at, capture) => act(() => keepNewest(id, boots.touch(at), capture)),
    nextSpeedRun: () => act(work.nextSpeedRun),
    keepSpeed: (id, at, result) => act(() => work.keepSpeed(id, boots.touch(at), result)),
    startBurnIn: (row) =>
      durably(() => {
        const run = work.startBurnIn(row, boots.touch(row.started));
        return { ...row, run, updated: row.started, verdict: null };
      }),
    updateBurnIn: (run, at, state, verdict) =>
      durably(() => work.updateBurnIn(run, boots.touch(at), state, verdict)),
    appendJournal: (run, at, kind, body) =>
      durably(() => work.appendJournal(run, boots.touch(at), kind, body)),
    keepFindings: (at, changes) =>
      act(() => {
        boots.touch(at);
        judged.keepFindings(changes);
      }),
    acknowledgeFinding: (id) => act(() => judged.acknowledgeFinding(id)),
    accountForFinding: (id) => act(() => judged.accountForFinding(id)),
    keepEvents: (at, events) => act(() => keepEvents(boots.touch(at), events)),
    jobRan: (job) => act(() => judged.jobRan(job)),
    thin: (nowWallMs) => act(() => thin(nowWallMs)),
    close: () => closeCleanly(db),
  };
}

/** A reader that is connected keeps the store in write-ahead mode; that is no reason to fail. */
function closeCleanly(db: Database.Database): void {
  if (!db.open) {
    return;
  }
  try {
    db.pragma('busy_timeout = 0');
    db.pragma('journal_mode = DELETE');
  } catch (error) {
    if (!(error instanceof Database.SqliteError)) {
      throw error;
    }
  } finally {
    db.close();
  }
}
