/**
 * What is written: one row per boot, its newest moment, and whether its calendar is believed.
 * When the clock is put right soon after boot, what this boot stored before is dated again.
 * Each function runs inside a transaction of its caller.
 */
import type { Database } from 'better-sqlite3';
import type { Clock } from '../clock.js';
import type { Instant } from './rows.js';
import { type BootTimes, trustAtBoot, wallMove } from './wall-trust.js';

interface BootState extends Omit<BootTimes, 'wallTrusted'> {
  readonly wallTrusted: number;
  readonly wallOffsetMs: number;
  readonly lastMonoMs: number;
}

export interface BootWriting {
  beginBoot(bootId: string, wallMs: number): number;
  markWallTrust(boot: number, trusted: boolean): void;
  /** Notes that something is stored for this moment; returns it in whole milliseconds. */
  touch(at: Instant): Instant;
}

const columns = `id, started_wall AS startedWall, wall_trusted AS wallTrusted,
  wall_offset_ms AS wallOffsetMs, last_mono_ms AS lastMonoMs, last_wall_ms AS lastWallMs`;

export function bootWriting(db: Database, clock: Clock): BootWriting {
  const byBootId = db.prepare('SELECT id FROM boot WHERE boot_id = ?').pluck();
  const earlier = db.prepare<[], BootState>(`SELECT ${columns} FROM boot ORDER BY id`);
  const trust = db.prepare('UPDATE boot SET wall_trusted = ? WHERE id = ?');
  const insert = db.prepare(
    `INSERT INTO boot (boot_id, started_wall, wall_trusted, wall_offset_ms, last_mono_ms, last_wall_ms)
     VALUES (@bootId, @wall, @trusted, @offset, 0, @wall)`,
  );
  const touch = touching(db);

  const addBoot = (bootId: string, wall: number): number => {
    const before = earlier.all().map((row) => ({ ...row, wallTrusted: row.wallTrusted === 1 }));
    const { trusted, distrusted } = trustAtBoot(before, wall);
    for (const boot of distrusted) {
      trust.run(0, boot);
    }
    const offset = wall - Math.round(clock.bootMs());
    const added = insert.run({ bootId, wall, trusted: trusted ? 1 : 0, offset });
    return Number(added.lastInsertRowid);
  };
  return {
    beginBoot: (bootId, wallMs) => {
      const wall = Math.round(wallMs);
      const known = byBootId.get(bootId);
      if (typeof known !== 'number') {
        return addBoot(bootId, wall);
      }
      touch({ boot: known, monoMs: clock.bootMs(), wallMs: wall });
      return known;
    },
    markWallTrust: (boot, trusted) => {
      trust.run(trusted ? 1 : 0, boot);
    },
    touch,
  };
}

function touching(db: Database) {
  const state = db.prepare<[number], BootState>(`SELECT ${columns} FROM boot WHERE id = ?`);
  const newestEarlier = db
    .prepare('SELECT max(last_wall_ms) FROM boot WHERE id < ? AND wall_trusted = 1')
    .pluck();
  const move = db.prepare(
    'UPDATE boot SET last_mono_ms = @monoMs, last_wall_ms = @wallMs, wall_offset_ms = @offset WHERE id = @boot',
  );
  const trust = db.prepare('UPDATE boot SET wall_trusted = ? WHERE id = ?');
  const dateAgain = datingAgain(db);
  return (moment: Instant): Instant => {
    const at = {
      boot: moment.boot,
      monoMs: Math.round(moment.monoMs),
      wallMs: Math.round(moment.wallMs),
    };
    const known = state.get(at.boot);
    if (known === undefined) {
      throw new Error(`Boot ${at.boot} is not in the store; beginBoot numbers boots`);
    }
    if (at.monoMs < known.lastMonoMs) {
      return at;
    }
    const offsetMs = known.wallOffsetMs;
    const newest = newestEarlier.get(at.boot);
    const newestEarlierMs = typeof newest === 'number' ? newest : null;
    const moved = wallMove({ offsetMs, ...at, newestEarlierMs });
    if (moved === 'set') {
      dateAgain(at.boot, at.wallMs - at.monoMs - offsetMs);
    }
    if (moved !== 'steady') {
      trust.run(moved === 'set' ? 1 : 0, at.boot);
    }
    move.run({ ...at, offset: at.wallMs - at.monoMs });
    return at;
  };
}

/** Moves the calendar of everything that this boot measured so far. */
function datingAgain(db: Database) {
  const series = db.prepare('SELECT id FROM series').pluck();
  const readings = db.prepare(
    `UPDATE reading SET wall_ms = wall_ms + @change, last_wall_ms = last_wall_ms + @change
     WHERE series_id = @series AND boot = @boot`,
  );
  const others = [
    'UPDATE boot SET started_wall = started_wall + @change WHERE id = @boot',
    'UPDATE event SET wall_ms = wall_ms + @change WHERE boot = @boot',
    'UPDATE series_first SET wall_ms = wall_ms + @change WHERE boot = @boot',
    'UPDATE newest_page SET wall_ms = wall_ms + @change WHERE boot = @boot',
    'UPDATE part SET first_wall_ms = first_wall_ms + @change WHERE first_boot = @boot',
    'UPDATE part SET last_wall_ms = last_wall_ms + @change WHERE last_boot = @boot',
    'UPDATE part_seen SET wall_ms = wall_ms + @change WHERE boot = @boot',
    ...['reading_recent', 'reading_newest'].map(
      (table) => `UPDATE ${table} SET wall_ms = wall_ms + @change,
        last_wall_ms = last_wall_ms + @change WHERE boot = @boot`,
    ),
  ].map((text) => db.prepare(text));
  return (boot: number, change: number): void => {
    for (const id of series.all().map(Number)) {
      readings.run({ series: id, boot, change });
    }
    for (const statement of others) {
      statement.run({ boot, change });
    }
  };
}
