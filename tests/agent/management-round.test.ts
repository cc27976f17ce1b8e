import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Box } from '../../src/agent/box/box.js';
import { keepInventory } from '../../src/agent/keep-inventory.js';
import { ManagementRound } from '../../src/agent/management-round.js';
import { takeInventory } from '../../src/agent/probes/inventory.js';
import type { Inventory } from '../../src/checks/part.js';
import type { Reading } from '../../src/checks/reading.js';
import { boxOfTree, treeOf } from '../box/kernel-tree.js';
import { SimController } from '../box/sim-controller.js';
import { bytesOf, compactSupplies, fullFan, fullIntake } from './box/layouts/ipmi-bytes.js';
import { at, newYear, type TemporaryStore, temporaryStore } from './store/temporary-store.js';

let room: TemporaryStore;
let controller: SimController;
let box: Box;
let boot: number;
const now = () => at(boot, 600_000);

beforeEach(() => {
  room = temporaryStore();
  boot = room.store.beginBoot('boot-1', newYear);
  controller = new SimController();
  controller.records = [fullIntake, fullFan, compactSupplies];
  // 25 °C; 4·300−60 = 114 rpm and below the lower limits; supply A is there, B without input.
  controller.readings.set(0x11, bytesOf('19 c0 00'));
  controller.readings.set(0x41, bytesOf('04 c0 03'));
  controller.readings.set(0x60, bytesOf('00 c0 01 00'));
  controller.readings.set(0x61, bytesOf('00 c0 09 00'));
  box = { ...boxOfTree(treeOf({})), management: controller.management };
});
afterEach(() => room.remove());

async function look(): Promise<Inventory> {
  const inventory = await takeInventory(box);
  keepInventory(room.store, inventory, now());
  return inventory;
}

async function roundOf(round: ManagementRound, inventory: Inventory): Promise<readonly Reading[]> {
  const read = await round.read(inventory, now);
  if (read?.events != null) room.store.keepEvents(now(), read.events);
  return read?.part.readings ?? [];
}

async function readOnce(): Promise<readonly Reading[]> {
  return roundOf(new ManagementRound({ box, store: room.store }), await look());
}

const shown = (readings: readonly Reading[]) =>
  readings.map(({ metric, place, value, text }) => [metric, place, value, text]);

const texts = () => {
  const part = room.store.partByName('management-controller');
  return room.store.events(part?.id ?? -1, 1000).map(({ kind, text }) => `${kind}: ${text}`);
};

describe('the controller as a part', () => {
  test('is listed with its firmware, and nothing is said of its absence', async () => {
    const { management, emptyWhy } = await look();
    expect(management).toMatchObject({
      kind: 'management-controller',
      identityKey: 'management:10876:4660',
      firmware: '3.61',
      specification: '2.0',
    });
    expect(emptyWhy['management-controller']).toBeUndefined();
    expect(room.store.partByName('management-controller')?.kind).toBe('management-controller');
  });

  test('without a device: none, or one whose modules are not loaded', async () => {
    controller.present = false;
    expect((await takeInventory(box)).emptyWhy['management-controller']).toBe(
      'No management controller: the kernel shows no device of one, and the firmware tells of none',
    );
    const told = treeOf({ '/sys/bus/acpi/devices/IPI0001:00/': '' });
    box = { ...boxOfTree(told), management: controller.management };
    expect((await takeInventory(box)).emptyWhy['management-controller']).toMatch(
      /firmware tells of one, .* load the kernel’s modules ipmi_si and ipmi_devintf$/,
    );
    expect(await readOnce()).toEqual([]);
  });
});

describe('sensors', () => {
  test('figures with limits, what the controller says of them, and states of supplies', async () => {
    const readings = shown(await readOnce()).filter(([metric]) => !String(metric).includes('-log'));
    expect(readings).toEqual([
      ['temperature', 'Intake', 25, undefined],
      ['temperature-limit', 'Intake', 45, undefined],
      ['fan-speed', 'Fan 1', 114, 'below its critical limit, says the controller'],
      ['fan-speed-limit', 'Fan 1', 594, undefined],
      ['supply-state', 'PSA', 1, 'a supply is present'],
      ['supply-state', 'PSB', 9, 'a supply is present; the supply’s input is gone'],
      // 66543300h is 27 May 2024; the box is at 1 January 2026, 00:10.
      ['controller-clock-ahead', undefined, -840_535, '583 d 16 h behind the box’s'],
    ]);
  });

  test('limits that hold now stand before those of the list', async () => {
    controller.limits.set(0x11, bytesOf('18 00 00 00 28 2d 00'));
    const limit = (await readOnce()).find(({ metric }) => metric === 'temperature-limit');
    expect(limit?.value).toBe(40);
  });

  test('not looked at, without a reading, absent, of another controller: each says so', async () => {
    controller.readings.set(0x11, bytesOf('19 80 00'));
    controller.readings.set(0x41, bytesOf('04 e0 00'));
    controller.readings.delete(0x60);
    const elsewhere = Uint8Array.from(compactSupplies);
    elsewhere[5] = 0x2c;
    elsewhere[0] = 4;
    controller.records.push(elsewhere);
    const whys = (await readOnce()).filter(({ state }) => state === 'no-figure');
    expect(whys.map(({ place, why }) => [place, why])).toEqual([
      ['Intake', 'The controller does not look at this sensor'],
      ['Fan 1', 'The controller has no reading of it: what it measures is off or absent'],
      ['PSA, sensor 96', 'The management controller does not have a sensor (completion code CBh)'],
      [
        'PSA, sensor 96',
        'The sensor belongs to another controller on the board, which is not asked',
      ],
      [
        'PSB, sensor 97',
        'The sensor belongs to another controller on the board, which is not asked',
      ],
    ]);
  });

  test('a controller that hands out no whole records is read in parts', async () => {
    controller.refusesWhole = true;
    const readings = await readOnce();
    expect(readings.find(({ place }) => place === 'Fan 1')?.value).toBe(114);
    expect(controller.asked).toContain('a 22');
  });

  test('the list is asked for once', async () => {
    const inventory = await look();
    const round = new ManagementRound({ box, store: room.store });
    await roundOf(round, inventory);
    const before = controller.asked.length;
    await roundOf(round, inventory);
    expect(controller.asked.slice(before)).toEqual([
      '4 2d',
      '4 2d',
      '4 2d',
      '4 2d',
      'a 40',
      'a 48',
    ]);
  });

  test('after one question without an answer the other sensors are not asked', async () => {
    const inventory = await look();
    const round = new ManagementRound({ box, store: room.store });
    await roundOf(round, inventory);
    controller.silentAfter = controller.asked.length;
    const before = controller.asked.length;
    const readings = await roundOf(round, inventory);
    expect(controller.asked.slice(before)).toEqual(['4 2d']);
    expect(readings.map(({ state }) => state)).toEqual(Array(4).fill('no-figure'));
    expect(round.why).toContain('No answer to a sensor in 10000 ms');
  });

  test('a list that turns in a circle ends', async () => {
    const again = Uint8Array.from(fullIntake);
    controller.records = [fullIntake, fullFan, again];
    expect((await readOnce()).length).toBeGreaterThan(0);
    expect(controller.asked.length).toBeLessThan(4000);
  });
});

describe('the log', () => {
  const entry = (id: number, rest: string, time = '10 32 54 66') =>
    bytesOf(`${id.toString(16).padStart(2, '0')} 00 02 ${time} 20 00 04 ${rest}`);
  const corrected = '0c 53 6f 30 ff 05';
  const fanLow = '04 41 01 50 04 14';
  const inputGone = '08 61 6f 03 ff ff';
  const inputBack = '08 61 ef 03 ff ff';
  const unknown = '2b 00 70 0f ff ff';

  test('each entry in words, with its own time and its bytes', async () => {
    controller.log = [corrected, fanLow, inputGone, inputBack, unknown].map((rest, index) =>
      entry(index + 1, rest),
    );
    const readings = await readOnce();
    expect(texts().toReversed()).toEqual([
      'memory-error: A memory error was corrected, module 5 as the controller counts them (sensor 83)',
      'fan-fault: The fan fell below its lower limit: 114 rpm, limit 594 rpm (sensor “Fan 1”)',
      'supply-fault: The supply’s input is gone (sensor “PSB”)',
      'controller-event: No longer: the supply’s input is gone (sensor “PSB”)',
      `controller-event: The controller’s log holds an entry whose meaning is not known, bytes 05000210325466200004${'2b00700fffff'}`,
    ]);
    const [newest] = room.store.events(null, 1);
    // F0h seconds before the controller's own clock, which is wrong by years.
    expect(newest?.at).toEqual({ boot, monoMs: 600_000 - 240_000, wallMs: newYear + 360_000 });
    const used = readings.find(({ metric }) => metric === 'controller-log-used');
    expect(used?.value).toBe(8);
  });

  test('nothing twice: not in the next round, after a restart, in another boot', async () => {
    controller.log = [entry(1, corrected)];
    await readOnce();
    await readOnce();
    room.reopen();
    boot = room.store.beginBoot('boot-2', newYear + 86_400_000);
    await readOnce();
    expect(texts()).toHaveLength(1);
    controller.log.push(entry(2, corrected, '11 32 54 66'));
    controller.asked.length = 0;
    await readOnce();
    expect(texts()).toHaveLength(2);
    expect(controller.asked.filter((one) => one === 'a 43')).toHaveLength(2);
  });

  test('somebody cleared it: said once, and what came after is kept', async () => {
    controller.log = [entry(1, corrected), entry(2, inputGone)];
    await readOnce();
    controller.log = [entry(1, corrected, '20 32 54 66')];
    controller.lastErase = 0x66543218;
    await readOnce();
    await readOnce();
    expect(texts().map((text) => text.split(':')[0])).toEqual([
      'controller-log-cleared',
      'memory-error',
      'supply-fault',
      'memory-error',
    ]);
  });

  test('overwritten from its beginning: the gap is said, nothing is kept twice', async () => {
    controller.log = [entry(1, corrected), entry(2, inputGone)];
    await readOnce();
    controller.log = [entry(1, corrected), entry(3, inputBack, '12 32 54 66')];
    await readOnce();
    expect(
      texts()
        .map((text) => text.split(':')[0])
        .toSorted(),
    ).toEqual(['controller-event', 'log-gap', 'memory-error', 'supply-fault']);
  });

  test('a log that breaks off is read on from there', async () => {
    controller.log = Array.from({ length: 6 }, (_, index) => entry(index + 1, corrected));
    const inventory = await look();
    const round = new ManagementRound({ box, store: room.store });
    controller.silentAfter = controller.asked.length + 15;
    await roundOf(round, inventory);
    expect(round.why).toContain('No answer');
    const partly = texts().length;
    expect(partly).toBeGreaterThan(0);
    expect(partly).toBeLessThan(6);
    controller.silentAfter = Number.POSITIVE_INFINITY;
    await roundOf(round, inventory);
    expect(texts()).toHaveLength(6);
  });

  test('times that nobody knows are said to be so', async () => {
    controller.log = [
      entry(1, corrected, 'ff ff ff ff'),
      entry(2, corrected, '78 00 00 00'),
      entry(3, corrected, '00 00 55 66'),
    ];
    await readOnce();
    const unknownTime = ', at a time that the controller did not know';
    expect(texts().filter((text) => text.endsWith(unknownTime))).toHaveLength(2);
    expect(texts().filter((text) => /2 min after the controller started/.test(text))).toHaveLength(
      1,
    );
  });

  test('what a retired server logged years ago is told on its page, not as of lately', async () => {
    controller.log = [entry(1, corrected, '00 00 54 60')];
    await readOnce();
    expect(texts()).toHaveLength(1);
    expect(room.store.events(null, 10).filter(({ kind }) => kind === 'memory-error')).toEqual([]);
  });

  test('no log, no list: said in one sentence', async () => {
    controller.identity[5] = 0x80;
    const inventory = await look();
    const round = new ManagementRound({ box, store: room.store });
    expect(await roundOf(round, inventory)).toEqual([]);
    expect(round.why).toBe(
      'Of the management controller not all is read: it says that it has no list of sensors; it says that it has no event log',
    );
  });
});
