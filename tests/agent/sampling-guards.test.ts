import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { Sampler } from '../../src/agent/sampling.js';
import type { DriveSeen } from '../../src/checks/part.js';
import { archiveSerials } from '../box/archive-box.js';
import { type AskingRoom, askingRoom, driveOf } from './asking-room.js';

const [first, second, third, fourth] = archiveSerials.disks;

let room: AskingRoom;
let sampler: Sampler;
beforeEach(async () => {
  room = await askingRoom();
  // A kernel without its own sensor of disks: then each is asked for its temperature.
  room.emptyFolders.add('/sys/class/hwmon');
  for (const serial of archiveSerials.disks) setLoad(serial, 9e6);
  const { box, clock, store, boot } = room;
  sampler = new Sampler({ box, clock, store, boot, model: null });
  await sampler.survey();
  await pass();
  room.sentSince();
});
afterEach(() => room.remove());

function setLoad(serial: string, readBytesPerSecond: number): void {
  room.sim.settle();
  Object.assign(room.sim.seat(serial).load, { readBytesPerSecond });
  room.sim.settle();
}

/** Five minutes with their look at requests, links and sensors. */
async function pass(): Promise<void> {
  await room.clock.sleep(300_000);
  await sampler.surroundings();
}

function drive(serial: string): DriveSeen {
  return driveOf(sampler.inventory, serial);
}

function stored(serial: string, metric: string) {
  const { identityKey } = drive(serial);
  const part = room.store.parts().find((one) => one.identityKey === identityKey);
  const found = part === undefined ? [] : room.store.latest(part.id);
  return found.find((one) => one.metric === metric) ?? null;
}

const askedNow = () => [...new Set(room.sentSince().map((one) => one.split(' ')[0]))].sort();

describe('a round of temperatures', () => {
  test('asks each drive once, and after that only those that somebody used since', async () => {
    await sampler.temperatures();
    expect(askedNow()).toEqual(
      [...archiveSerials.disks, archiveSerials.trial, archiveSerials.system].sort(),
    );
    setLoad(second, 0);
    await pass();
    await sampler.temperatures();
    // The second worked until just now, so that it is read once more.
    askedNow();
    await pass();
    await sampler.temperatures();
    expect(askedNow()).toEqual([first, third, fourth].sort());
  });

  test('leaves drives to the kernel’s own sensor where there is one', async () => {
    room.emptyFolders.clear();
    await sampler.temperatures();
    expect(askedNow()).toEqual([]);
  });

  test('a drive that hangs, one that is gone and one that is another do not hold up the rest', async () => {
    room.sim.seat(first).drive.state.faults.hang = true;
    room.sim.unplug(second);
    const neighbour = drive(fourth);
    const asked = drive(third);
    room.hook = ({ deviceNumber }) => (deviceNumber === asked.deviceNumber ? neighbour : undefined);
    const startMs = room.clock.bootMs();
    await sampler.temperatures();
    expect(room.clock.bootMs() - startMs).toBeLessThanOrEqual(20_000);
    expect(stored(fourth, 'temperature')).toMatchObject({ state: 'measured' });
    expect(stored(archiveSerials.trial, 'temperature')).toMatchObject({ state: 'measured' });
    const why = [first, second, third].map((serial) => stored(serial, 'temperature'));
    expect(why).toMatchObject([
      { state: 'no-figure', text: expect.stringMatching(/No answer to CHECK POWER MODE/) },
      { state: 'no-figure' },
      { state: 'no-figure', text: expect.stringContaining(`with serial number ${fourth}`) },
    ]);
    for (const row of why) expect(row?.text).not.toBe('');
  });
});

describe('a round of counters', () => {
  test('tells when a figure moved that should hold still, and not of others', async () => {
    const member = drive(first);
    expect((await sampler.driveHealth(member))?.secondLook).toBe(false);
    await room.clock.sleep(4 * 3_600_000);
    expect((await sampler.driveHealth(member))?.secondLook).toBe(false);
    room.sim.seat(first).drive.state.reallocatedSectors += 3;
    expect((await sampler.driveHealth(member))?.secondLook).toBe(true);
    expect((await sampler.driveHealth(member))?.secondLook).toBe(false);
  });

  test('of another drive’s answers keeps nothing, and says whose they were', async () => {
    const member = drive(first);
    await sampler.driveHealth(member);
    const before = stored(first, 'reallocated-sectors');
    const other = drive(second);
    room.hook = () => other;
    const read = await sampler.driveHealth(member);
    expect(read?.whyNot).toContain(`with serial number ${second}, expected was ${first}`);
    expect(stored(first, 'power-on-hours')).toMatchObject({
      state: 'no-figure',
      text: expect.stringContaining('nothing in them is believed'),
    });
    expect(stored(first, 'reallocated-sectors')).toEqual(before);
    const part = room.store.parts().find(({ identityKey }) => identityKey === member.identityKey);
    const bytes = room.store.newestPages(part?.id ?? 0).map(({ page }) => page.data);
    const names = bytes.map((data) => Buffer.from(data).swap16().toString('latin1'));
    expect(names.some((text) => text.includes(first))).toBe(true);
    expect(names.some((text) => text.includes(second))).toBe(false);
  });

  test('while the array needs rest keeps temperature and verdict, and owes its pages', async () => {
    const member = drive(first);
    room.texts.set('/proc/mdstat', () => 'md0 : active raid6 sda[0]\n      1 blocks [4/3] [UUU_]');
    const read = await sampler.driveHealth(member, { rawReason: 'finding too-warm' });
    const metrics = new Set(read?.readings.map(({ metric }) => metric));
    expect([...metrics].sort()).toEqual(['drive-verdict', 'power-mode', 'temperature']);
    expect(read?.whyNot).toBe('Its array needs rest: only temperature and verdict were asked for');
    const part = room.store.parts().find(({ identityKey }) => identityKey === member.identityKey);
    expect(room.store.rawPages(part?.id ?? 0)).toEqual([]);
    room.texts.clear();
    await sampler.driveHealth(member);
    const reasons = room.store.rawPages(part?.id ?? 0).map(({ reason }) => reason);
    expect(new Set(reasons)).toEqual(new Set(['finding too-warm']));
  });

  test('long logs are not asked for again once a command went unanswered', async () => {
    const trial = drive(archiveSerials.trial);
    const { faults } = room.sim.seat(archiveSerials.trial).drive.state;
    faults.hang = true;
    expect(await sampler.rareLogs(trial)).toMatch(/^No answer to/);
    faults.hang = false;
    await room.clock.sleep(3_600_000);
    room.sentSince();
    // Settled for this boot: null, and nothing was sent.
    expect(await sampler.rareLogs(trial)).toBe(null);
    expect(room.sentSince()).toEqual([]);
    expect((await sampler.driveHealth(trial))?.whyNot).toBe(null);
    expect(await sampler.rareLogs(drive(first))).toBe(null);
    expect(room.sentSince().length).toBeGreaterThan(10);
  });
});
