import Database from 'better-sqlite3';
import { expect, test } from 'vitest';
import { archiveSerials } from '../box/archive-box.js';
import { archiveLife, copying, hourMs } from './archive-life.js';
import { pageOf } from './page-of.js';
import type { AgentRun } from './run-agent.js';

const minuteMs = 60_000;
const silent = [...archiveSerials.disks, archiveSerials.trial];
const healthy = archiveSerials.system;

function setSilent(run: AgentRun, isSilent: boolean): void {
  for (const serial of silent) run.box.seat(serial).drive.state.faults.hang = isSilent;
}

/** Rows of one figure of one drive, straight from the file. */
function rowsOf(run: AgentRun, serial: string, metric: string) {
  const db = new Database(run.storeFile, { readonly: true });
  try {
    return db
      .prepare<[string, string], { monoMs: number; state: string; text: string }>(
        `SELECT mono_ms AS monoMs, state, text FROM every_reading JOIN series ON series.id = series_id
         JOIN part ON part.id = part_id WHERE part.name = ? AND metric = ? ORDER BY mono_ms`,
      )
      .all(serial, metric);
  } finally {
    db.close();
  }
}

test('five silent drives beside a healthy one: it is read on time, they are left alone', async () => {
  const { run, end } = archiveLife(7);
  try {
    await run.switchOn();
    copying(run, true);
    await run.pass(hourMs);
    const startMs = run.box.clock.bootMs();
    setSilent(run, true);
    // Long enough for the round over all counters, each 4 hours.
    await run.pass(5 * hourMs);

    // The NVMe sensor is read with each round of surroundings: none is late for the silent ones.
    const read = rowsOf(run, healthy, 'temperature').filter((row) => row.state === 'measured');
    const times = read.map(({ monoMs }) => monoMs).filter((monoMs) => monoMs >= startMs);
    expect(times.length).toBeGreaterThanOrEqual(24);
    const gaps = times.slice(1).map((monoMs, index) => monoMs - (times[index] ?? 0));
    expect(Math.max(...gaps)).toBeLessThanOrEqual(6 * minuteMs);

    for (const serial of silent) {
      const states = rowsOf(run, serial, 'power-on-hours').filter((row) => row.monoMs >= startMs);
      expect(new Set(states.map(({ state }) => state))).toEqual(new Set(['no-figure']));
      for (const { text } of states) expect(text).toMatch(/^(No answer to|Not asked)/);
    }
    const page = await pageOf(run, '/');
    expect(page).toContain('9 12');
    expect(run.store.findings('all')).toEqual([]);

    // One question each went unanswered; nothing was sent behind it, however many rounds followed.
    await run.pass(2 * hourMs);
    for (const serial of silent) {
      expect(run.box.seat(serial).drive.state.unanswered).toEqual(['CHECK POWER MODE']);
    }

    setSilent(run, false);
    const freedMs = run.box.clock.bootMs();
    await run.pass(1.2 * hourMs);
    for (const serial of silent) {
      const back = rowsOf(run, serial, 'power-on-hours').filter((row) => row.monoMs > freedMs);
      expect(back.map(({ state }) => state)).toContain('measured');
    }
  } finally {
    setSilent(run, false);
    await end();
  }
}, 120_000);
