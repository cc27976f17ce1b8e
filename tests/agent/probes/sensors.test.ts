import { describe, expect, test } from 'vitest';
import { takeInventory } from '../../../src/agent/probes/inventory.js';
import { readSensors } from '../../../src/agent/probes/sensors.js';
import type { PartReadings } from '../../../src/checks/part.js';
import { archiveReadingRoomBox, archiveSerials } from '../../box/archive-box.js';
import { boxOfTree, type FileSource, treeOf } from '../../box/kernel-tree.js';
import { makeSimClock } from '../../box/sim-clock.js';

/** Files as in Linux Documentation/hwmon/sysfs-interface.rst: millidegrees, rpm, 1 for a fault. */

type Entries = Readonly<Record<string, FileSource>>;

async function sensorsOf(
  entries: Entries,
  inUse?: ReadonlySet<string>,
): Promise<readonly PartReadings[]> {
  const box = boxOfTree(treeOf(entries));
  return readSensors(box, await takeInventory(box), {
    mayAsk: async ({ identityKey }) => inUse?.has(identityKey) === true,
  });
}

function node(number: number, owner: string, files: Entries): Entries {
  const folder = `${owner}/hwmon/hwmon${number}`;
  return {
    [`/sys/class/hwmon/hwmon${number} ->`]: folder,
    ...Object.fromEntries(
      Object.entries(files).map(([name, value]) => [`${folder}/${name}`, value]),
    ),
  };
}

const board = node(2, '/sys/devices/platform/nct6775.656', {
  name: 'nct6775',
  temp1_input: '31500',
  temp1_label: 'SYSTIN',
  temp1_max: '80000',
  temp1_crit: '125000',
  temp2_input: '-61000',
  temp3_input: '127500',
  temp4_input: '24000',
  temp4_fault: '1',
  temp5_input: { fails: 'unreadable' },
  temp6_input: '42000',
  temp6_max: '0',
  temp6_crit: '127000',
  fan1_input: '1180',
  fan1_label: 'CPU fan',
  fan2_input: '0',
  fan3_input: '900',
  fan3_fault: '1',
});

describe('a chip of the board', () => {
  test('gives temperatures in degrees with their limits, and fans', async () => {
    const [chip] = await sensorsOf(board);
    expect(chip?.identityKey).toBe('chip:nct6775@platform/nct6775.656');
    const shown = chip?.readings.map(({ metric, place, value }) => [metric, place, value]);
    expect(shown).toEqual([
      ['temperature', 'SYSTIN', 31.5],
      ['temperature-limit', 'SYSTIN', 80],
      ['temperature', 'temperature 2', null],
      ['temperature', 'temperature 3', null],
      ['temperature', 'temperature 4', null],
      ['temperature', 'temperature 5', null],
      ['temperature', 'temperature 6', 42],
      ['fan-speed', 'CPU fan', 1180],
      ['fan-speed', 'fan 2', 0],
      ['fan-speed', 'fan 3', null],
    ]);
  });

  test('says why a sensor has no figure', async () => {
    const [chip] = await sensorsOf(board);
    const whys = chip?.readings.flatMap(({ why }) => why ?? []);
    expect(whys).toEqual([
      'The input shows -61 °C, as inputs without a sensor do',
      'The input shows 127.5 °C, as inputs without a sensor do',
      'The chip reports this sensor as faulty or not connected',
      expect.stringContaining('temp5_input failed'),
      'The chip reports this sensor as faulty or not connected',
    ]);
  });

  test('a fan without pulses is 0 with the two things that it can mean', async () => {
    const [chip] = await sensorsOf(board);
    expect(chip?.readings.find(({ place }) => place === 'fan 2')?.text).toBe(
      'no turning seen: it stands still or none is connected',
    );
  });

  test('keeps its identity when the kernel numbers it otherwise', async () => {
    const [first] = await sensorsOf(
      node(0, '/sys/devices/platform/x.1', { name: 'x', fan1_input: '5' }),
    );
    const [later] = await sensorsOf(
      node(9, '/sys/devices/platform/x.1', { name: 'x', fan1_input: '5' }),
    );
    expect(first?.identityKey).toBe(later?.identityKey);
  });
});

const sata = '/sys/devices/pci0000:00/0000:00:1f.2/ata5/host4/target4:0:0/4:0:0:0';
const disk: Entries = {
  '/sys/block/sdb ->': `${sata}/block/sdb`,
  [`${sata}/block/sdb/device ->`]: sata,
  [`${sata}/block/sdb/size`]: '7814037168',
  [`${sata}/vendor`]: 'ATA     ',
  [`${sata}/model`]: 'ST4000VN008-2DR1',
  [`${sata}/wwid`]: 'naa.5000c500a1b2c3d4',
};

describe('the kernel’s sensor of a disk', () => {
  let reads = 0;
  const drivetemp = node(4, sata, {
    name: 'drivetemp',
    temp1_input: () => {
      reads += 1;
      return '38000';
    },
    temp1_max: '60000',
  });

  test('is not read for a drive that may sleep, and the reading says so', async () => {
    reads = 0;
    const parts = await sensorsOf({ ...disk, ...drivetemp });
    expect(reads).toBe(0);
    expect(parts).toMatchObject([
      {
        identityKey: 'wwn:5000c500a1b2c3d4',
        readings: [{ metric: 'temperature', place: 'kernel sensor', state: 'no-figure' }],
      },
    ]);
  });

  test('is read for a drive that is known to be awake', async () => {
    reads = 0;
    const parts = await sensorsOf({ ...disk, ...drivetemp }, new Set(['wwn:5000c500a1b2c3d4']));
    expect(reads).toBe(1);
    expect(parts[0]?.readings).toMatchObject([
      { metric: 'temperature', value: 38, state: 'measured' },
      { metric: 'temperature-limit', place: 'kernel sensor', value: 60 },
    ]);
  });

  test('is no chip of the board, and a box with nothing else has no fans and says so', async () => {
    const { sensorChips, emptyWhy } = await takeInventory(
      boxOfTree(treeOf({ ...disk, ...drivetemp })),
    );
    expect(sensorChips).toEqual([]);
    expect(emptyWhy['temperature-sensors']).toBeUndefined();
    expect(emptyWhy.fans).toBe(
      'No fan input: none of the loaded sensor drivers offers one; the driver of the board’s chip may be missing',
    );
  });
});

test('an NVMe drive’s whole kelvins come back as whole degrees', async () => {
  const controller = '/sys/devices/pci0000:00/0000:00:1d.0/0000:01:00.0/nvme/nvme0';
  const parts = await sensorsOf({
    '/sys/block/nvme0n1 ->': `${controller}/nvme0n1`,
    [`${controller}/nvme0n1/device ->`]: controller,
    [`${controller}/nvme0n1/size`]: '1000215216',
    [`${controller}/nvme0n1/wwid`]: 'eui.0025385b91b0a1c2',
    [`${controller}/model`]: 'QUILLON KITE 512',
    [`${controller}/serial`]: 'QK5N00417',
    '/sys/class/hwmon/hwmon1 ->': `${controller}/hwmon1`,
    [`${controller}/hwmon1/name`]: 'nvme',
    // 323 K, 343 K and a lower limit of 0 K (Linux 6.1 drivers/nvme/host/hwmon.c).
    [`${controller}/hwmon1/temp1_input`]: '49850',
    [`${controller}/hwmon1/temp1_max`]: '69850',
    [`${controller}/hwmon1/temp1_min`]: '-273150',
    [`${controller}/hwmon1/temp2_input`]: '44850',
    [`${controller}/hwmon1/temp2_label`]: 'Sensor 1',
  });
  expect(parts).toMatchObject([
    {
      identityKey: 'wwn:0025385b91b0a1c2',
      readings: [
        { metric: 'temperature', value: 50 },
        { metric: 'temperature-limit', place: 'kernel sensor', value: 69.85 },
        { metric: 'temperature', place: 'sensor 1', value: 45 },
      ],
    },
  ]);
});

test('a disk that was used a moment ago and sleeps again is not woken by its sensor', async () => {
  const box = archiveReadingRoomBox(3, { clock: makeSimClock(Date.UTC(2026, 0, 5)) });
  const inventory = await takeInventory(box);
  const { state } = box.seat(archiveSerials.disks[0]).drive;
  const measuredOf = async () => {
    const parts = await readSensors(box, inventory, { mayAsk: async () => true });
    const own = parts.filter(({ identityKey }) => identityKey === `wwn:${state.worldWideName}`);
    return own.flatMap(({ readings }) => readings).filter((one) => one.state === 'measured');
  };
  expect((await measuredOf()).map(({ metric }) => metric)).toContain('temperature');
  state.standby = true;
  expect(await measuredOf()).toEqual([]);
  expect([state.spinUps, state.standby]).toEqual([0, true]);
});

describe('power inputs', () => {
  test('of a transceiver are light sent and received (Linux drivers/net/phy/sfp.c)', async () => {
    const [sfp] = await sensorsOf(
      node(4, '/sys/devices/platform/sfp-1', {
        name: 'sfp',
        temp1_input: '41000',
        power1_input: '562',
        power1_label: 'TX_power',
        power2_input: '65535000',
        power2_label: 'RX_power',
      }),
    );
    const rows = sfp?.readings.map(({ metric, place, value, unit }) => [
      metric,
      place,
      value,
      unit,
    ]);
    expect(rows).toEqual([
      ['temperature', 'temperature 1', 41, 'celsius'],
      ['optical-power', 'light sent', 562, 'microwatts'],
      ['optical-power', 'light received', null, 'microwatts'],
    ]);
  });

  test('of other chips are electric power, and one that cannot be read has a reason', async () => {
    const [chip] = await sensorsOf(
      node(5, '/sys/devices/platform/supply-1', {
        name: 'supply',
        power1_input: '83500000',
        power1_label: 'total',
        power2_input: { fails: 'unreadable' },
        power3_input: '-5',
      }),
    );
    const rows = chip?.readings.map(({ metric, place, value, state }) => [
      metric,
      place,
      value,
      state,
    ]);
    expect(rows).toEqual([
      ['power-draw', 'total', 83.5, 'measured'],
      ['power-draw', 'power 2', null, 'no-figure'],
      ['power-draw', 'power 3', null, 'no-figure'],
    ]);
  });
});
