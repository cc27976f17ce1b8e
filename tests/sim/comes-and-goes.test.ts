import { expect, test, vi } from 'vitest';
import type { Box } from '../../src/agent/box/box.js';
import { goneSince } from '../../src/checks/gone.js';
import { archiveParts, archiveSerials } from '../box/archive-box.js';
import { archiveLife, copying, hourMs, type Life } from './archive-life.js';
import type { AgentRun } from './run-agent.js';

const minuteMs = 60_000;
/** A test of hours on a box whose processor is busy. */
const testMsMax = 90_000;
vi.setConfig({ testTimeout: testMsMax });
const [first, second, third, fourth] = archiveSerials.disks;
const { trial } = archiveSerials;
const cardPort = (port: number) => ({ pci: archiveParts.diskCard, port });
const boardPort = (port: number) => ({ pci: archiveParts.boardSata, port });

/** Lives after an hour in which everything was read, with the household copying. */
async function afterAnHour(act: (run: AgentRun) => Promise<void>, life: Life = archiveLife(7)) {
  const { run, end } = life;
  try {
    await run.switchOn();
    copying(run, true);
    await run.pass(hourMs);
    await act(run);
    const sleeps = 'The drive sleeps and is not woken for this';
    expect(run.problems.filter((line) => !line.includes(sleeps))).toEqual([]);
  } finally {
    await end();
  }
}

/** What the members of an array that lacks one are still asked for in each round. */
const askedAtRest = 'drive-verdict';

function partOf({ store }: AgentRun, serial: string) {
  const part = store.parts().find(({ name }) => name === serial);
  if (part === undefined) throw new Error(`No part ${serial} is kept`);
  return part;
}

function isGone(run: AgentRun, serial: string): boolean {
  return goneSince(partOf(run, serial), run.spans.at(-1)?.boot ?? 0) !== null;
}

function happenedTo(run: AgentRun, serial: string): readonly string[] {
  const events = run.store.events(partOf(run, serial).id, 50);
  return events.map(({ kind }) => kind).toReversed();
}

/** Milliseconds since boot when a figure of the drive was last read. */
function readAt(run: AgentRun, serial: string, metric = 'power-on-hours'): number {
  const rows = run.store.latest(partOf(run, serial).id);
  return rows.find((row) => row.metric === metric && row.place === '')?.lastMonoMs ?? Number.NaN;
}

test('a drive that is pulled is gone within two minutes, and back within two more', () =>
  afterAnHour(async (run) => {
    const { id } = partOf(run, third);
    const drives = () => run.store.parts().filter(({ kind }) => kind === 'drive').length;
    const before = drives();
    run.box.unplug(third, { held: true });
    await run.pass(2 * minuteMs);
    expect(isGone(run, third)).toBe(true);
    const pluggedMs = run.box.clock.bootMs();
    run.box.plug(third, cardPort(1));
    await run.pass(2 * minuteMs);
    expect(isGone(run, third)).toBe(false);
    expect(partOf(run, third).id).toBe(id);
    expect(drives()).toBe(before);
    expect(happenedTo(run, third)).toEqual(['part-missing', 'part-back']);
    // Its counters are read soon, not after the four hours of the usual round.
    await run.pass(5 * minuteMs);
    expect(readAt(run, third)).toBeGreaterThan(pluggedMs);
    const series = run.store.latest(id).filter(({ metric }) => metric === 'power-on-hours');
    expect(series.length).toBe(1);
  }));

test('a drive pulled in the middle of a round of commands holds up nobody', () => {
  let armed = false;
  const life: Life = archiveLife(7, {
    between: (box): Box => ({
      ...box,
      ata: (drive, command) => {
        const { seats } = life.run.box.parts;
        const names = seats.find(({ drive: one }) => one.state.serial === third);
        if (armed && names?.drive.state.deviceNumber === drive.deviceNumber) {
          armed = false;
          life.run.box.unplug(third);
        }
        return box.ata(drive, command);
      },
    }),
  });
  return afterAnHour(async (run) => {
    await run.pass(2 * hourMs + 50 * minuteMs);
    armed = true;
    const startMs = run.box.clock.bootMs();
    await run.pass(hourMs);
    expect(armed).toBe(false);
    expect(isGone(run, third)).toBe(true);
    for (const serial of [first, second, fourth]) {
      expect(isGone(run, serial)).toBe(false);
      expect(readAt(run, serial, askedAtRest)).toBeGreaterThan(startMs);
    }
  }, life);
});

test('a card that goes takes its drives along, and a round goes on with the others', () =>
  afterAnHour(async (run) => {
    for (const serial of [third, fourth]) run.box.unplug(serial);
    const startMs = run.box.clock.bootMs();
    await run.pass(2 * minuteMs);
    expect([third, fourth].map((serial) => isGone(run, serial))).toEqual([true, true]);
    await run.pass(4 * hourMs);
    expect(readAt(run, first, askedAtRest)).toBeGreaterThan(startMs);
    expect(happenedTo(run, first)).toEqual([]);
  }));

test('a drive swapped for another under the same kernel name is read as itself', () => {
  const spare = 'QP2S88121';
  const drive = {
    kind: 'sata-ssd' as const,
    model: 'Quillon Perch 240',
    serial: spare,
    worldWideName: '5f0e3f0000881211',
    capacityBytes: 240_057_409_536,
  };
  const life = archiveLife(7, { more: [{ drive, place: boardPort(6) }] });
  life.run.box.unplug(spare, { held: true });
  return afterAnHour(async (run) => {
    const before = readAt(run, trial);
    run.box.unplug(trial);
    run.box.plug(spare, boardPort(4));
    await run.pass(10 * minuteMs);
    expect([isGone(run, trial), isGone(run, spare)]).toEqual([true, false]);
    expect(readAt(run, trial)).toBe(before);
    // The spare of the simulation has as many hours as any that is given no other past.
    const hours = run.store.latest(partOf(run, spare).id);
    expect(hours.find(({ metric }) => metric === 'power-on-hours')?.value).toBe(
      Math.floor(run.box.seat(spare).drive.state.powerOnHours),
    );
  }, life);
});

test('drives that are busy with their array, answer nothing or sleep are not gone', () =>
  afterAnHour(async (run) => {
    expect(archiveSerials.disks.flatMap((serial) => happenedTo(run, serial))).toEqual([]);
    run.box.seat(third).drive.state.faults.hang = true;
    copying(run, false);
    run.box.seat(first).drive.state.standby = true;
    await run.pass(2 * hourMs);
    for (const serial of archiveSerials.disks) {
      expect(isGone(run, serial)).toBe(false);
      expect(happenedTo(run, serial)).toEqual([]);
    }
    expect(run.box.seat(first).drive.state.wokenBy).toEqual([]);
  }));
