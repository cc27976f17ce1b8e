/** Every question that can be asked of an open store, for its reader and its writer alike. */
import { createHash } from 'node:crypto';
import type { Database } from 'better-sqlite3';
import type { Finding } from '../../checks/finding.js';
import { newestPageQuery } from './newest-pages.js';
import { readingQueries } from './reading-queries.js';
import {
  bootSchema,
  burnInSchema,
  controllerLogSchema,
  eventSchema,
  findingSchema,
  jobSchema,
  journalSchema,
  partSchema,
  rawPageSchema,
  seriesSchema,
  speedSchema,
} from './row-schemas.js';
import type { EventRow, PartRow, RawPageRow, SpeedRow } from './rows.js';
import { damagedRow, decodeRow } from './rows-decode.js';
import type { StoreReader } from './store.js';

export type Queries = Omit<StoreReader, 'writerPresent' | 'close'>;

const partColumns = `id, kind, identity_key AS identityKey, name, label, details,
  first_boot AS firstBoot, first_wall_ms AS firstWallMs,
  part_seen.boot AS boot, part_seen.mono_ms AS monoMs, part_seen.wall_ms AS wallMs,
  gone_boot AS goneBoot, gone_mono_ms AS goneMonoMs, gone_wall_ms AS goneWallMs`;

const bootSelect = `SELECT id, boot_id AS bootId, started_wall AS startedWall,
  wall_trusted AS wallTrusted, last_mono_ms AS lastMonoMs, last_wall_ms AS lastWallMs
  FROM boot ORDER BY id`;

const speedSelect = `SELECT id, part_id AS partId, boot, mono_ms AS monoMs, wall_ms AS wallMs, run,
  path, direction, streams, place, bytes_per_second AS bytesPerSecond, low, high, seconds,
  conditions, complete, reason, limit_found AS "limit", verdict
  FROM speed WHERE part_id = ? ORDER BY id`;

const burnInSelect = `SELECT run, part_id AS partId, drive, erases, state, seed, plan, verdict,
  started_boot AS startedBoot, started_mono_ms AS startedMonoMs, started_wall_ms AS startedWallMs,
  updated_boot AS updatedBoot, updated_mono_ms AS updatedMonoMs, updated_wall_ms AS updatedWallMs
  FROM burn_in ORDER BY run`;

const journalSelect = `SELECT entry, run, kind, boot, mono_ms AS monoMs, wall_ms AS wallMs, body
  FROM journal WHERE run = ? ORDER BY entry`;

const findingSelect = `SELECT id, code, subject, place, state, urgency, measured, expected, unit,
  source, evidence, next_step AS nextStep, opened_boot AS openedBoot,
  opened_mono_ms AS openedMonoMs, opened_wall_ms AS openedWallMs, cleared_boot AS clearedBoot,
  cleared_wall_ms AS clearedWallMs, cleared_why AS clearedWhy, acknowledged,
  accounted_for AS accountedFor
  FROM finding WHERE ? IN (state, 'all') ORDER BY id`;

const rawPageSelect = `SELECT raw_page.sha256 AS sha256, part_id AS partId, boot,
  mono_ms AS monoMs, wall_ms AS wallMs, reason, record, log, subpage, page, nsid, failed, data
  FROM raw_page JOIN raw_data USING (sha256) WHERE part_id = ? ORDER BY id`;

const jobSelect = `SELECT job, last_boot AS lastBoot, last_mono_ms AS lastMonoMs,
  last_wall_ms AS lastWallMs, last_powered_ms AS lastPoweredMs, outcome FROM job ORDER BY job`;

/** What a controller logged longer before the boot in which it was found did not happen lately. */
const latelyMs = 30 * 24 * 3_600_000;

const eventSelect = `SELECT id, part_id AS partId, boot, mono_ms AS monoMs, wall_ms AS wallMs, kind,
  position_bytes AS positionBytes, text, record
  FROM event
  WHERE CASE WHEN @partId IS NULL THEN mono_ms > ${-latelyMs} ELSE part_id = @partId END
  ORDER BY boot DESC, mono_ms DESC, id DESC LIMIT @countMax`;

/** Prepares the questions on an open database. */
export function makeQueries(db: Database): Queries {
  const boots = db.prepare(bootSelect);
  const parts = db.prepare(
    `SELECT ${partColumns} FROM part JOIN part_seen ON part_id = part.id ORDER BY id`,
  );
  const partByName = db.prepare(
    `SELECT ${partColumns} FROM part JOIN part_seen ON part_id = part.id WHERE name = ?
     ORDER BY part_seen.boot DESC, part_seen.mono_ms DESC, id DESC LIMIT 1`,
  );
  const series = db.prepare(
    `SELECT id, part_id AS partId, metric, place, unit, source
     FROM series WHERE part_id = ? AND metric = ? ORDER BY id`,
  );
  const speeds = speedQuery(db);
  const burnIns = db.prepare(burnInSelect);
  const journal = db.prepare(journalSelect);
  const findings = db.prepare(findingSelect);
  const rawPages = db.prepare(rawPageSelect);
  const jobs = db.prepare(jobSelect);
  const events = db.prepare(eventSelect);
  const controllerLog = db.prepare(
    `SELECT entry_id AS entryId, record, last_addition AS lastAddition, last_erase AS lastErase,
       entries
     FROM controller_log WHERE part_id = (SELECT id FROM part WHERE identity_key = ?)`,
  );
  const logRead = db.prepare('SELECT sequence FROM log_mark WHERE boot = ?').pluck();
  return {
    ...readingQueries(db),
    boots: () => boots.all().map((row) => decodeRow('boot', bootSchema, row)),
    parts: () => parts.all().map(partOf),
    partByName: (name) => {
      const row = partByName.get(name);
      return row === undefined ? null : partOf(row);
    },
    series: (partId, metric) =>
      series.all(partId, metric).map((row) => decodeRow('series', seriesSchema, row)),
    speeds,
    burnIns: () => burnIns.all().map(burnInOf),
    journal: (run) => journal.all(run).map(journalOf),
    findings: (state): readonly Finding[] =>
      findings.all(state).map((row) => decodeRow('finding', findingSchema, row)),
    rawPages: (partId) => rawPages.all(partId).map(rawPageOf),
    newestPages: newestPageQuery(db),
    jobs: () => jobs.all().map((row) => decodeRow('job', jobSchema, row)),
    events: (partId, countMax) => events.all({ partId, countMax }).map(eventOf),
    logReadTo: (boot) => Number(logRead.get(boot) ?? -1),
    controllerLog: (identityKey) => {
      const row = controllerLog.get(identityKey);
      return row === undefined ? null : decodeRow('controller_log', controllerLogSchema, row);
    },
  };
}

/**
 * A result never changes once it is kept, so a part's are decoded again only when there are more.
 */
function speedQuery(db: Database): Queries['speeds'] {
  const all = db.prepare(speedSelect);
  const newest = db.prepare('SELECT max(id) FROM speed WHERE part_id = ?').pluck();
  const known = new Map<number, { readonly newest: unknown; readonly rows: readonly SpeedRow[] }>();
  return (partId) => {
    const now = newest.get(partId);
    const before = known.get(partId);
    if (before !== undefined && before.newest === now) return before.rows;
    const rows = all.all(partId).map(speedOf);
    known.set(partId, { newest: now, rows });
    return rows;
  };
}

/** The part of a number that the store gave out. */
export function partQuery(db: Database): (id: number) => PartRow {
  const byId = db.prepare(
    `SELECT ${partColumns} FROM part JOIN part_seen ON part_id = part.id WHERE id = ?`,
  );
  return (id) => partOf(byId.get(id));
}

/** The same questions, each asked through `ask`, which picks the store and words its problems. */
export function queriesThrough(ask: <T>(question: (queries: Queries) => T) => T): Queries {
  return {
    boots: () => ask((queries) => queries.boots()),
    parts: () => ask((queries) => queries.parts()),
    partByName: (name) => ask((queries) => queries.partByName(name)),
    latest: (partId) => ask((queries) => queries.latest(partId)),
    series: (partId, metric) => ask((queries) => queries.series(partId, metric)),
    readings: (series, from) => ask((queries) => queries.readings(series, from)),
    findings: (state) => ask((queries) => queries.findings(state)),
    speeds: (partId) => ask((queries) => queries.speeds(partId)),
    burnIns: () => ask((queries) => queries.burnIns()),
    journal: (run) => ask((queries) => queries.journal(run)),
    rawPages: (partId) => ask((queries) => queries.rawPages(partId)),
    newestPages: (partId) => ask((queries) => queries.newestPages(partId)),
    jobs: () => ask((queries) => queries.jobs()),
    events: (partId, countMax) => ask((queries) => queries.events(partId, countMax)),
    logReadTo: (boot) => ask((queries) => queries.logReadTo(boot)),
    controllerLog: (key) => ask((queries) => queries.controllerLog(key)),
  };
}

function partOf(row: unknown): PartRow {
  const decoded = decodeRow('part', partSchema, row);
  const { boot, monoMs, wallMs, goneBoot, goneMonoMs, goneWallMs, ...rest } = decoded;
  const isThere = goneBoot === null || goneMonoMs === null || goneWallMs === null;
  return {
    ...rest,
    lastSeen: { boot, monoMs, wallMs },
    ...(isThere ? {} : { gone: { boot: goneBoot, monoMs: goneMonoMs, wallMs: goneWallMs } }),
  };
}

function speedOf(row: unknown): SpeedRow {
  const decoded = decodeRow('speed', speedSchema, row);
  const { boot, monoMs, wallMs, place, reason, limit, ...rest } = decoded;
  return {
    ...rest,
    at: { boot, monoMs, wallMs },
    ...(place === null ? {} : { place }),
    ...(reason === null ? {} : { reason }),
    ...(limit === null ? {} : { limit }),
  };
}

function burnInOf(row: unknown) {
  const decoded = decodeRow('burn_in', burnInSchema, row);
  const { startedBoot, startedMonoMs, startedWallMs, ...afterStart } = decoded;
  const { updatedBoot, updatedMonoMs, updatedWallMs, ...rest } = afterStart;
  return {
    ...rest,
    started: { boot: startedBoot, monoMs: startedMonoMs, wallMs: startedWallMs },
    updated: { boot: updatedBoot, monoMs: updatedMonoMs, wallMs: updatedWallMs },
  };
}

function eventOf(row: unknown): EventRow {
  const { boot, monoMs, wallMs, ...rest } = decodeRow('event', eventSchema, row);
  return { ...rest, at: { boot, monoMs, wallMs } };
}

function journalOf(row: unknown) {
  const { boot, monoMs, wallMs, ...rest } = decodeRow('journal', journalSchema, row);
  return { ...rest, at: { boot, monoMs, wallMs } };
}

/** The checksum is worked out again: evidence that changed on disk is no evidence. */
function rawPageOf(row: unknown): RawPageRow {
  const decoded = decodeRow('raw_page', rawPageSchema, row);
  const { boot, monoMs, wallMs, log, subpage, page, nsid, failed, ...rest } = decoded;
  if (createHash('sha256').update(rest.data).digest('hex') !== rest.sha256) {
    throw damagedRow('raw_page', `checksum ${rest.sha256} does not fit its bytes`);
  }
  return {
    ...rest,
    at: { boot, monoMs, wallMs },
    place: placeWords({ log, subpage, page, nsid }),
    ...(failed === null ? {} : { failed }),
  };
}

function placeWords(place: Readonly<Record<string, number | null>>): string {
  return Object.entries(place)
    .flatMap(([name, number]) => (number === null ? [] : [`${name} ${number}`]))
    .join(', ');
}
