import { randomInt } from 'node:crypto';
import { writeFileSync } from 'node:fs';
import Database from 'better-sqlite3';
import { expect, test } from 'vitest';
import { answered, type Box } from '../../src/agent/box/box.js';
import { archiveSerials } from '../box/archive-box.js';
import { archiveLife, copying, hourMs } from './archive-life.js';
import { liveEventfully } from './eventful-life.js';
import { observe } from './truth-observer.js';

/** A random life beside the fixed ones. Its seed is printed; the variable lives it again. */
const variable = 'BAYWARD_SIM_SEED';
const random = Number(process.env[variable] ?? randomInt(2 ** 31));
console.log(`Simulated life with seed ${random}; live it again with ${variable}=${random}`);

/** Figures of which the box knows the truth, and that every life must have stored. */
const metricsSeen = [
  'commands-overdue',
  'critical-warning',
  'drive-verdict',
  'emergency-head-parks',
  'endurance-used',
  'fan-speed',
  'head-loads',
  'interface-crc-errors',
  'media-and-data-errors',
  'network-carrier-changes',
  'network-checksum-errors',
  'network-rate',
  'network-receive-errors',
  'pci-link-lanes',
  'pci-link-speed',
  'pending-sectors',
  'power-cycles',
  'power-mode',
  'power-on-hours',
  'reallocated-sectors',
  'sata-link-speed',
  'spare-left',
  'start-stops',
  'temperature',
  'temperature-highest',
  'uncorrectable-errors-reported',
  'uncorrectable-sectors',
  'unsafe-shutdowns',
];

test.each([7, 1207, 88_120, random])(
  'each row stored in the life with seed %i is the truth, and no sleeper is woken',
  async (seed) => {
    const { run, end } = archiveLife(seed, { keepTruth: true });
    try {
      const events = await liveEventfully(run, { seed, boots: 8 });
      expect(events.powerCuts + events.clockSteps + events.growths).toBeGreaterThan(5);
      const seen = observe(run.storeFile, run);
      expect(seen.complaints.slice(0, 10)).toEqual([]);
      expect(Object.keys(seen.compared).sort()).toEqual(metricsSeen);
      expect(seen.compared.temperature).toBeGreaterThan(1000);
      expect(seen.states.asleep).toBeGreaterThan(50);
      expect(seen.speedsCompared).toBeGreaterThanOrEqual(32);
      for (const serial of archiveSerials.disks) {
        const { wokenBy } = run.box.seat(serial).drive.state;
        expect(wokenBy.filter((by) => by !== 'the household')).toEqual([]);
      }
      expect(run.problems.filter((line) => !line.includes('The drive sleeps'))).toEqual([]);
    } finally {
      await end();
    }
  },
  120_000,
);

/** Lies that somebody plants in a store; each must be told by the observer. */
const lies: readonly (readonly [string, string, RegExp])[] = [
  [
    'a temperature that is one degree off',
    `UPDATE reading SET value = value + 1 WHERE (series_id, boot, mono_ms) = (
       SELECT series_id, boot, mono_ms FROM reading JOIN series ON series.id = series_id
       WHERE metric = 'temperature' AND state = 'measured' LIMIT 1)`,
    /temperature.* the truth was/,
  ],
  [
    'a counter that is held longer than it held',
    `UPDATE reading SET last_mono_ms = 10000000 WHERE (series_id, boot, mono_ms) = (
       SELECT series_id, boot, mono_ms FROM reading JOIN series ON series.id = series_id
       WHERE metric = 'interface-crc-errors' AND value = 0
         AND part_id = (SELECT id FROM part WHERE name = '${archiveSerials.disks[1]}'))`,
    /interface-crc-errors.* the truth was 0, then 57/,
  ],
  [
    'a reading of a time when the box was off',
    `UPDATE reading SET last_mono_ms = 18000001 WHERE (series_id, boot, mono_ms) = (
       SELECT series_id, boot, mono_ms FROM reading ORDER BY mono_ms DESC LIMIT 1)`,
    /when the box was off/,
  ],
  [
    'an absence without a reason',
    `UPDATE reading SET text = '' WHERE (series_id, boot, mono_ms) = (
       SELECT series_id, boot, mono_ms FROM reading WHERE state = 'asleep' LIMIT 1)`,
    /asleep without a reason/,
  ],
  [
    'a disk that was awake and is told to have slept',
    `UPDATE reading SET state = 'asleep', value = NULL, text = 'invented'
     WHERE (series_id, boot, mono_ms) = (
       SELECT series_id, boot, mono_ms FROM reading JOIN series ON series.id = series_id
       WHERE metric = 'reallocated-sectors' AND state = 'measured' AND mono_ms < 700000 LIMIT 1)`,
    /said to be asleep, and was awake/,
  ],
  ['a boot that never was', `UPDATE boot SET id = 9`, /there was no such boot|lasts longer/],
  [
    'a speed that the drive does not reach',
    'UPDATE speed SET bytes_per_second = bytes_per_second * 1.1 WHERE id = 1',
    /Speed of .* the truth is/,
  ],
];

test('the observer tells each planted lie, and nothing else', async () => {
  const { run, end } = archiveLife(5, { keepTruth: true });
  try {
    await run.switchOn();
    await run.pass(2 * hourMs);
    copying(run, true);
    run.box.seat(archiveSerials.disks[1]).drive.state.interfaceCrcErrors += 57;
    run.box.settle();
    await run.pass(hourMs);
    copying(run, false);
    await run.pass(2 * hourMs);
    await run.shutDown(hourMs);
    expect(observe(run.storeFile, run).complaints).toEqual([]);
    for (const [name, statement, words] of lies) {
      const told = withLie(run.storeFile, statement, () => observe(run.storeFile, run).complaints);
      expect(told.length, name).toBeGreaterThan(0);
      for (const complaint of told) expect(complaint, name).toMatch(words);
    }
    expect(observe(run.storeFile, run).complaints).toEqual([]);
  } finally {
    await end();
  }
}, 60_000);

test('the observer tells of an agent that reads one degree too much', async () => {
  const { run, end } = archiveLife(5, { keepTruth: true, between: withOneDegreeMore });
  try {
    await run.switchOn();
    await run.pass(hourMs / 2);
    await run.shutDown(hourMs);
    const { complaints } = observe(run.storeFile, run);
    expect(complaints.length).toBeGreaterThan(5);
    for (const complaint of complaints) {
      expect(complaint).toMatch(/^(chip|wwn):.* temperature .* the truth was/);
    }
  } finally {
    await end();
  }
}, 60_000);

function withOneDegreeMore(box: Box): Box {
  return {
    ...box,
    kernelText: async (path) => {
      const answer = await box.kernelText(path);
      const isMeant = path.endsWith('/temp1_input');
      return answer.ok && isMeant ? answered(String(Number(answer.value) + 1000)) : answer;
    },
  };
}

/** So that a lie may name one table, whichever holds the row at the end of the run. */
const allInOnePlace = `INSERT INTO reading SELECT * FROM reading_recent
    UNION ALL SELECT * FROM reading_newest;
  DELETE FROM reading_recent;
  DELETE FROM reading_newest;`;

/** Plants one lie, looks, and takes it out again. */
function withLie<T>(file: string, statement: string, look: () => T): T {
  const db = new Database(file);
  db.pragma('foreign_keys = OFF');
  const kept = db.serialize();
  try {
    db.exec(allInOnePlace);
    expect(db.prepare(statement).run().changes).toBeGreaterThan(0);
    return look();
  } finally {
    db.close();
    writeFileSync(file, kept);
  }
}
