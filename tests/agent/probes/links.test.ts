import { describe, expect, test } from 'vitest';
import { takeInventory } from '../../../src/agent/probes/inventory.js';
import { readLinks } from '../../../src/agent/probes/links.js';
import { parseLinkSpeed, parseLinkWidth } from '../../../src/agent/probes/parse-pci.js';
import { driveSataSpeedMax, parseSataSpeed } from '../../../src/agent/probes/parse-sata.js';
import type { Reading } from '../../../src/checks/reading.js';
import { boxOfTree, type FileSource, treeOf } from '../../box/kernel-tree.js';

type Entries = Readonly<Record<string, FileSource>>;

async function readingsOf(entries: Entries): Promise<readonly Reading[]> {
  const box = boxOfTree(treeOf(entries));
  const parts = await readLinks(box, await takeInventory(box));
  return parts.flatMap(({ readings }) => readings);
}

function find(readings: readonly Reading[], metric: string, place?: string): Reading {
  const found = readings.find((one) => one.metric === metric && one.place === place);
  if (found === undefined) throw new Error(`No reading ${metric} ${place ?? ''}`);
  return found;
}

test.each([
  ['2.5 GT/s PCIe', 2.5],
  ['8.0 GT/s PCIe', 8],
  ['32.0 GT/s PCIe', 32],
  ['8 GT/s', 8],
  ['Unknown', null],
  ['Unknown speed', null],
  ['', null],
  [null, null],
])('link speed %s is %s (Linux 6.1 drivers/pci/pci-sysfs.c)', (text, expected) => {
  expect(parseLinkSpeed(text)).toBe(expected);
});

test.each([
  ['1', 1],
  ['16', 16],
  ['0', null],
  ['255', null],
  ['63', null],
  ['x4', null],
  [null, null],
])('link width %s is %s (0 is no link, 255 not known)', (text, expected) => {
  expect(parseLinkWidth(text)).toBe(expected);
});

test.each([
  ['1.5 Gbps', 1_500_000_000],
  ['3.0 Gbps', 3_000_000_000],
  ['6.0 Gbps', 6_000_000_000],
  ['<unknown>', null],
  ['12.0 Gbps', null],
])('SATA rate %s is %s (Linux 6.1 libata-core.c, sata_spd_string)', (text, expected) => {
  expect(parseSataSpeed(text)).toBe(expected);
});

test.each([
  [0x850e, 6_000_000_000],
  [0x0506, 3_000_000_000],
  [0x0502, 1_500_000_000],
  [0x0100, null],
  [0x0000, null],
  [0xffff, null],
])('IDENTIFY word 76 %i lists %s as the highest rate (SATA, from memory)', (word, expected) => {
  expect(driveSataSpeedMax(word)).toBe(expected);
});

/** A card of eight lanes at 8 GT/s in a slot of that size that is wired with four. */
const card: Entries = {
  '/sys/bus/pci/devices/0000:00:03.0 ->': '/sys/devices/pci0000:00/0000:00:03.0',
  '/sys/devices/pci0000:00/0000:00:03.0/class': '0x060400',
  '/sys/devices/pci0000:00/0000:00:03.0/max_link_speed': '8.0 GT/s PCIe',
  '/sys/devices/pci0000:00/0000:00:03.0/max_link_width': '4',
  '/sys/bus/pci/devices/0000:04:00.0 ->': '/sys/devices/pci0000:00/0000:00:03.0/0000:04:00.0',
  '/sys/devices/pci0000:00/0000:00:03.0/0000:04:00.0/class': '0x010700',
  '/sys/devices/pci0000:00/0000:00:03.0/0000:04:00.0/vendor': '0x1000',
  '/sys/devices/pci0000:00/0000:00:03.0/0000:04:00.0/device': '0x0097',
  '/sys/devices/pci0000:00/0000:00:03.0/0000:04:00.0/current_link_speed': '8.0 GT/s PCIe',
  '/sys/devices/pci0000:00/0000:00:03.0/0000:04:00.0/current_link_width': '4',
  '/sys/devices/pci0000:00/0000:00:03.0/0000:04:00.0/max_link_speed': '8.0 GT/s PCIe',
  '/sys/devices/pci0000:00/0000:00:03.0/0000:04:00.0/max_link_width': '8',
};

describe('PCI links', () => {
  test('a card with eight lanes in a slot wired with four can do four, by the port above', async () => {
    const readings = await readingsOf(card);
    expect(find(readings, 'pci-link-lanes').value).toBe(4);
    expect(find(readings, 'pci-link-lanes-possible')).toMatchObject({
      value: 4,
      text: 'limited by the port above',
    });
    expect(find(readings, 'pci-link-lanes-possible', 'card').value).toBe(8);
    expect(find(readings, 'pci-link-lanes-possible', 'port above').value).toBe(4);
    expect(find(readings, 'pci-link-speed-possible')).toMatchObject({
      value: 8,
      text: 'both ends alike',
    });
  });

  test('what the kernel calls unknown is no figure with a reason, never 0 or 255', async () => {
    const path = '/sys/devices/pci0000:00/0000:00:1f.2';
    const readings = await readingsOf({
      '/sys/bus/pci/devices/0000:00:1f.2 ->': path,
      [`${path}/class`]: '0x010601',
      [`${path}/current_link_speed`]: 'Unknown',
      [`${path}/current_link_width`]: '0',
      [`${path}/max_link_speed`]: 'Unknown',
      [`${path}/max_link_width`]: '255',
    });
    expect(readings.map(({ metric, state, value }) => [metric, state, value])).toEqual([
      ['pci-link-speed', 'no-figure', null],
      ['pci-link-speed-possible', 'no-figure', null],
      ['pci-link-lanes', 'no-figure', null],
      ['pci-link-lanes-possible', 'no-figure', null],
    ]);
    expect(find(readings, 'pci-link-lanes').why).toMatch(/no trained link/);
  });

  test('with one end unknown the possible width is unknown, the known end still stands', async () => {
    const { '/sys/devices/pci0000:00/0000:00:03.0/max_link_width': _, ...halfKnown } = card;
    const readings = await readingsOf(halfKnown);
    expect(find(readings, 'pci-link-lanes-possible')).toMatchObject({
      state: 'no-figure',
      why: 'The kernel tells no limit of the port above it',
    });
    expect(find(readings, 'pci-link-lanes-possible', 'card').value).toBe(8);
  });
});

const sata = '/sys/devices/pci0000:00/0000:00:1f.2/ata5/host4/target4:0:0/4:0:0:0';

function sataDisk(link: Entries, word76: number): Entries {
  const page89 = Buffer.alloc(572);
  page89.set([0x00, 0x89, 0x02, 0x38]);
  page89[56] = 0xec;
  page89.writeUInt16LE(word76, 60 + 2 * 76);
  const folder = '/sys/class/ata_link/link5';
  return {
    '/sys/block/sdb ->': `${sata}/block/sdb`,
    [`${sata}/block/sdb/device ->`]: sata,
    [`${sata}/block/sdb/size`]: '7814037168',
    [`${sata}/vendor`]: 'ATA     ',
    [`${sata}/vpd_pg89`]: page89,
    '/sys/class/ata_port/ata5/port_no': '3',
    ...Object.fromEntries(
      Object.entries(link).map(([name, value]) => [`${folder}/${name}`, value]),
    ),
  };
}

describe('SATA links', () => {
  test('a link of 6 Gb/s that the kernel slowed to 3 says both and why', async () => {
    const readings = await readingsOf(
      sataDisk(
        { sata_spd: '3.0 Gbps', hw_sata_spd_limit: '6.0 Gbps', sata_spd_limit: '3.0 Gbps' },
        0x850e,
      ),
    );
    expect(find(readings, 'sata-link-speed')).toMatchObject({
      value: 3_000_000_000,
      text: 'slowed by the kernel to 3.0 Gb/s after errors on this link',
    });
    expect(find(readings, 'sata-link-speed-possible').value).toBe(6_000_000_000);
  });

  test('an older drive on a fast port can do what the drive can do', async () => {
    const readings = await readingsOf(
      sataDisk(
        { sata_spd: '3.0 Gbps', hw_sata_spd_limit: '6.0 Gbps', sata_spd_limit: '6.0 Gbps' },
        0x0506,
      ),
    );
    expect(find(readings, 'sata-link-speed').text).toBeUndefined();
    expect(find(readings, 'sata-link-speed-possible')).toMatchObject({
      value: 3_000_000_000,
      text: 'limited by the drive',
    });
  });

  test('a port that tells nothing gives no figure and no guess', async () => {
    const readings = await readingsOf(
      sataDisk({ sata_spd: '<unknown>', hw_sata_spd_limit: '<unknown>' }, 0x0100),
    );
    expect(readings.map(({ state }) => state)).toEqual(Array(4).fill('no-figure'));
  });
});
