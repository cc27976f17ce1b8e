import { expect, test } from 'vitest';
import { readArrays } from '../../src/agent/probes/arrays.js';
import { collectPages } from '../../src/agent/probes/collect-pages.js';
import { driveInUse } from '../../src/agent/probes/in-use.js';
import { interpret } from '../../src/agent/probes/interpret.js';
import { takeInventory } from '../../src/agent/probes/inventory.js';
import { readLinks } from '../../src/agent/probes/links.js';
import { readNetwork } from '../../src/agent/probes/network.js';
import { readSensors } from '../../src/agent/probes/sensors.js';
import { findingCodes } from '../../src/checks/finding-codes.js';
import type { DriveSeen } from '../../src/checks/part.js';
import type { Reading } from '../../src/checks/reading.js';
import { archiveParts, archiveReadingRoomBox, archiveSerials } from './archive-box.js';
import type { BoxFault, FaultTarget } from './fault.js';
import { boxFaults, faultIdentity } from './faults.js';
import type { SimBox } from './sim-box.js';
import { makeSimClock } from './sim-clock.js';

/** 2024-03-01 08:00 UTC. */
const startWallMs = 1_709_280_000_000;
const hourMs = 3_600_000;

function newBox(seed = 7): SimBox {
  return archiveReadingRoomBox(seed, { clock: makeSimClock(startWallMs), keepTruth: true });
}

function addressesOf(drives: readonly DriveSeen[]): ReadonlyMap<string, string> {
  return new Map(drives.map(({ serial, devicePath }) => [serial, devicePath]));
}

test('the inventory finds each part of the archive’s box', async () => {
  const { drives, controllers, sensorChips, emptyWhy, machine } = await takeInventory(newBox());
  const expected = [...archiveSerials.disks, archiveSerials.system, archiveSerials.trial];
  expect(drives.map(({ id }) => id).sort()).toEqual([...expected].sort());
  expect(controllers.map(({ id }) => id).sort()).toEqual([
    'disk-controller-00-17-0',
    'disk-controller-05-00-0',
    'network-card-03-00-0',
  ]);
  expect(sensorChips.map(({ id }) => id).sort()).toEqual([
    'sensor-chip-boardsense',
    'sensor-chip-coresense',
  ]);
  expect(Object.keys(emptyWhy).sort()).toEqual([
    'management-controller',
    'memory',
    'memory-errors',
  ]);
  expect(machine.hostName).toBe('reading-room');
});

test('each drive is found with its whole name, place and size', async () => {
  const { drives } = await takeInventory(newBox());
  const third = drives.find(({ id }) => id === 'TS80052HV4');
  expect(third).toMatchObject({
    identityKey: 'wwn:5f0c2d000052ef48',
    model: 'Tolvane Stillwater 8T',
    serial: 'TS80052HV4',
    capacityBytes: 8_001_563_222_016,
    logicalBlockBytes: 512,
    physicalBlockBytes: 4096,
    rotating: true,
    reachedBy: 'ata',
    controller: 'disk-controller-05-00-0',
    port: 'port-1',
    notVisibleWhy: null,
    duplicateIdentity: false,
  });
  const system = drives.find(({ id }) => id === archiveSerials.system);
  expect(system).toMatchObject({ reachedBy: 'nvme', pciAddress: '0000:01:00.0', rotating: false });
  expect(system?.pciLink).toMatchObject({ speedGigatransfers: 8, lanes: 4, portLanesMax: 4 });
});

test('its array is found with its members, whole and doing nothing', async () => {
  const box = newBox();
  const inventory = await takeInventory(box);
  expect(inventory.arrays).toMatchObject([
    { id: 'array-recordings', level: 'raid6', members: [...archiveSerials.disks].sort() },
  ]);
  const [array] = await readArrays(box, inventory);
  const figures = array?.readings.map(({ metric, value }) => [metric, value]);
  for (const figure of [
    ['array-state', 0],
    ['array-members-missing', 0],
    ['array-may-still-fail', 2],
    ['array-work', 0],
  ]) {
    expect(figures).toContainEqual(figure);
  }
});

test('names of the kernel move between boots and identities do not', async () => {
  const box = newBox();
  const letters = new Set<string>();
  const first = await takeInventory(box);
  const keys = first.drives.map(({ identityKey }) => identityKey).sort();
  for (let boot = 0; boot < 6; boot += 1) {
    const { drives } = await takeInventory(box);
    expect(drives.map(({ identityKey }) => identityKey).sort()).toEqual(keys);
    letters.add(JSON.stringify([...addressesOf(drives)].sort()));
    box.reboot({ offMs: 8 * hourMs });
  }
  expect(letters.size).toBeGreaterThan(1);
});

test('an address of an earlier boot does not reach another drive', async () => {
  const box = newBox();
  const { drives } = await takeInventory(box);
  const old = box.ofThisBoot();
  box.reboot({ offMs: hourMs });
  const drive = drives[0] as DriveSeen;
  const answer = await old.openBlocks(drive, { write: false, exclusive: false, deadlineMs: 1000 });
  expect(answer).toMatchObject({ ok: false, absence: { kind: 'gone' } });
});

test('taking stock and reading the surroundings ask no drive and wake none', async () => {
  const box = newBox();
  box.clock.pass(2 * hourMs);
  const inventory = await takeInventory(box);
  await readSensors(box, inventory);
  await readLinks(box, inventory);
  await readNetwork(box, inventory);
  box.settle();
  expect(box.asked).toEqual([]);
  for (const serial of archiveSerials.disks) {
    const { state } = box.seat(serial).drive;
    expect([state.standby, state.spinUps]).toEqual([true, 0]);
  }
});

test('drives warm up at work, cool down asleep and stay between room and limit', () => {
  const box = newBox();
  const seat = box.seat(archiveSerials.disks[0]);
  seat.load.readBytesPerSecond = 80e6;
  for (let hour = 0; hour < 5; hour += 1) {
    box.clock.pass(hourMs);
    box.settle();
  }
  const working = seat.drive.state.temperatureCelsius;
  seat.load.readBytesPerSecond = 0;
  for (let hour = 0; hour < 5; hour += 1) {
    box.clock.pass(hourMs);
    box.settle();
  }
  const asleep = seat.drive.state.temperatureCelsius;
  expect(seat.drive.state.standby).toBe(true);
  expect(working).toBeGreaterThanOrEqual(35);
  expect(working).toBeLessThan(45);
  expect(asleep).toBeLessThan(working - 8);
});

test('a power cut leaves its traces in the drives’ own counters, a shutdown none', () => {
  const box = newBox();
  const { state } = box.seat(archiveSerials.disks[0]).drive;
  const parks = state.emergencyHeadParks;
  const cycles = state.powerCycles;
  box.clock.pass(60_000);
  box.reboot({ offMs: hourMs });
  expect([state.emergencyHeadParks, state.powerCycles]).toEqual([parks, cycles + 1]);
  box.clock.pass(60_000);
  box.reboot({ offMs: hourMs, powerCut: true });
  expect([state.emergencyHeadParks, state.powerCycles]).toEqual([parks + 1, cycles + 2]);
});

test('a drive that moves to another port keeps its identity, one that is out is gone', async () => {
  const box = newBox();
  const serial = archiveSerials.trial;
  const before = (await takeInventory(box)).drives.find(({ id }) => id === serial);
  box.unplug(serial);
  const without = await takeInventory(box);
  expect(without.drives.some(({ id }) => id === serial)).toBe(false);
  box.plug(serial, { pci: archiveParts.boardSata, port: 5 });
  const after = (await takeInventory(box)).drives.find(({ id }) => id === serial);
  expect(after?.identityKey).toBe(before?.identityKey);
  expect([before?.port, after?.port]).toEqual(['port-4', 'port-5']);
  expect(after?.diskSequence).not.toBe(before?.diskSequence);
});

test('members, the system drive and nothing else are in use', async () => {
  const box = newBox();
  const { drives } = await takeInventory(box);
  const used = new Map<string, readonly string[]>();
  for (const drive of drives) used.set(drive.id, await driveInUse(box, drive));
  expect(used.get(archiveSerials.trial)).toEqual([]);
  expect(used.get(archiveSerials.system)).toContain(
    'It is the system drive: the running system lies on it',
  );
  for (const serial of archiveSerials.disks) {
    expect(used.get(serial)).toEqual(['The drive belongs to the array md0']);
  }
});

test('every reading of the surroundings equals the truth of the box', async () => {
  const box = newBox();
  box.clock.pass(3 * hourMs);
  const inventory = await takeInventory(box);
  const from = box.clock.bootMs();
  const parts = [
    ...(await readSensors(box, inventory)),
    ...(await readLinks(box, inventory)),
    ...(await readNetwork(box, inventory)),
  ];
  const span = { boot: 1, fromMonoMs: from, toMonoMs: box.clock.bootMs() };
  let compared = 0;
  for (const { identityKey, readings } of parts) {
    for (const { metric, place, value } of readings) {
      const question = { identityKey, metric, ...(place === undefined ? {} : { place }) };
      const truths = box.truthsBetween(question, span);
      if (truths.length === 0) continue;
      compared += 1;
      expect(truths, `${identityKey} ${metric} ${place ?? ''}`).toContain(value);
    }
  }
  // 2 figures of 3 PCI links, 5 SATA rates, the NVMe temperature, 4 of the network, 3 + 2 of chips.
  expect(compared).toBeGreaterThanOrEqual(18);
});

test('the same seed gives the same box, another seed another order', async () => {
  const seen = async (seed: number) => {
    const box = newBox(seed);
    box.reboot({ offMs: hourMs });
    const { drives } = await takeInventory(box);
    return drives.map(({ serial, kernelName }) => `${serial} ${kernelName}`).sort();
  };
  expect(await seen(3)).toEqual(await seen(3));
  const others = await Promise.all([4, 5, 6, 8].map(seen));
  const mine = JSON.stringify(await seen(3));
  expect(others.some((one) => JSON.stringify(one) !== mine)).toBe(true);
});

const target: FaultTarget = {
  serial: archiveSerials.disks[2],
  otherSerial: archiveSerials.disks[3],
  card: archiveParts.networkCard,
};

function targetOf(fault: BoxFault): FaultTarget {
  return fault.drive === 'nvme' ? { ...target, serial: archiveSerials.system } : target;
}

async function readingOf(box: SimBox, fault: BoxFault): Promise<Reading | undefined> {
  const inventory = await takeInventory(box);
  const { serial } = targetOf(fault);
  const key = fault.about === 'card' ? faultIdentity(box, fault, target) : null;
  if (fault.seenBy === 'surroundings') {
    const drive = inventory.drives.find(({ id }) => id === serial);
    const parts = await readLinks(box, inventory);
    const part = parts.filter(({ identityKey }) => identityKey === (key ?? drive?.identityKey));
    return part.flatMap(({ readings }) => readings).find(({ metric }) => metric === fault.metric);
  }
  const drive = inventory.drives.find(({ id }) => id === serial) as DriveSeen;
  const { capture } = await collectPages(box, drive, {
    taken: '2024-03-01T08:00:00.000Z',
    rare: false,
    skipIfAsleep: false,
  });
  return interpret(capture).readings.find(({ metric }) => metric === fault.metric);
}

test.each(boxFaults.filter(({ seenBy }) => seenBy !== 'speed' && seenBy !== 'kernel'))(
  'fault "$name" shows in $metric',
  async (fault) => {
    const box = newBox();
    const before = await readingOf(box, fault);
    fault.plant(box, targetOf(fault));
    for (let hour = 0; hour < 3; hour += 1) {
      box.clock.pass(hourMs);
      box.settle();
    }
    const after = await readingOf(box, fault);
    expect(before?.state).toBe('measured');
    expect(after?.state).toBe('measured');
    expect(after?.value).not.toBe(before?.value);
  },
);

test('each fault names a finding that exists, and each finding has a fault', () => {
  const planted = new Set(boxFaults.map(({ finding }) => finding));
  const known = new Set(findingCodes.map(({ code }) => code));
  expect([...planted].filter((code) => !known.has(code))).toEqual([]);
  expect([...known].filter((code) => !planted.has(code))).toEqual([]);
});
