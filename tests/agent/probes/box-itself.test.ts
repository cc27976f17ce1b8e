import { describe, expect, test } from 'vitest';
import { EnergyMeter } from '../../../src/agent/energy-meter.js';
import { loadReading, processorsOf } from '../../../src/agent/probes/box-load.js';
import { type EnergyZone, powerReadings, readEnergy } from '../../../src/agent/probes/box-power.js';
import { takeInventory } from '../../../src/agent/probes/inventory.js';
import { microcodeOf } from '../../../src/agent/probes/see-box.js';
import { boxOfTree, type FileSource, treeOf } from '../../box/kernel-tree.js';

/** Files as in Linux Documentation/power/powercap/powercap.rst. */
const rapl: Readonly<Record<string, FileSource>> = {
  '/sys/class/powercap/intel-rapl/enabled': '1',
  '/sys/class/powercap/intel-rapl:0/name': 'package-0',
  '/sys/class/powercap/intel-rapl:0/energy_uj': '262143000000',
  '/sys/class/powercap/intel-rapl:0/max_energy_range_uj': '262143328850',
  '/sys/class/powercap/intel-rapl:0:0/name': 'core',
  '/sys/class/powercap/intel-rapl:0:0/energy_uj': { fails: 'not-permitted' },
  '/sys/class/powercap/intel-rapl:0:0/max_energy_range_uj': '262143328850',
};

function zone(change: Partial<EnergyZone>): EnergyZone {
  return {
    zone: 'intel-rapl:0',
    name: 'package-0',
    energy: 0,
    range: 262_143_328_850,
    ...change,
  };
}

function wattsOf(before: readonly EnergyZone[], after: EnergyZone, seconds: number) {
  const [reading] = powerReadings(before, [after], seconds);
  return reading?.value ?? reading?.why;
}

describe('power of the processor', () => {
  test('zones are read with their own ranges; one that only root may read has no figure', async () => {
    expect(await readEnergy(boxOfTree(treeOf(rapl)))).toEqual([
      zone({ energy: 262_143_000_000 }),
      zone({ zone: 'intel-rapl:0:0', name: 'core', energy: null }),
    ]);
  });

  test('is the difference of two looks by the time between them', () => {
    // 19 500 J in 300 s are 65 W.
    const after = zone({ energy: 1_000_000 + 19_500_000_000 });
    expect(wattsOf([zone({ energy: 1_000_000 })], after, 300)).toBe(65);
  });

  test('goes on over the end of the counter by the zone’s own range', () => {
    // From 262 143 000 000 to the end are 328 850, then 19 499 671 150: 19 500 J in 300 s.
    const after = zone({ energy: 19_499_671_150 });
    expect(wattsOf([zone({ energy: 262_143_000_000 })], after, 300)).toBe(65);
  });

  test.each([
    ['a first look', [], zone({ energy: 5 }), 300, 'Power takes two looks'],
    [
      'a range that may have been passed twice (262 kJ in 30 minutes are 146 W)',
      [zone({ energy: 1 })],
      zone({ energy: 5 }),
      1800,
      'The counter may have gone round more than once between two looks',
    ],
    [
      'a counter beyond its range',
      [zone({ energy: 1 })],
      zone({ energy: 300_000_000_000 }),
      300,
      'The kernel does not tell how far the counter counts',
    ],
    [
      'no time between the looks',
      [zone({ energy: 1 })],
      zone({ energy: 5 }),
      0,
      'The counter may have gone round more than once between two looks',
    ],
  ])('%s gives no figure', (_words, before, after, seconds, why) => {
    expect(wattsOf(before, after, seconds)).toBe(why);
  });

  test('parts of a zone are named after it, and a box without zones has no reading', async () => {
    const core = zone({ zone: 'intel-rapl:1:0', name: 'core', energy: 5 });
    const places = powerReadings([], [zone({ zone: 'intel-rapl:1', name: 'package-1' }), core], 1);
    expect(places.map(({ place }) => place)).toEqual([
      'processor, package-1',
      'processor, package-1, core',
    ]);
    const meter = new EnergyMeter();
    const none = boxOfTree(treeOf({ '/sys/block/': '' }));
    expect([await meter.read(none, 0), await meter.read(none, 300_000)]).toEqual([[], []]);
  });
});

test.each([
  ['0-3', 4],
  ['0', 1],
  ['0-3,6', 5],
  ['', null],
  ['3-0', null],
  ['all', null],
  [null, null],
])('processors %s are %s', (text, count) => {
  expect(processorsOf(text)).toBe(count);
});

test('load is told in percent of the processors', () => {
  expect(loadReading('3.00 1.20 0.80 2/345 6789', '0-3').value).toBe(75);
  expect(loadReading('', '0-3').state).toBe('no-figure');
  expect(loadReading('3.00 1.20 0.80 2/345 6789', null).state).toBe('no-figure');
});

test('versions of what runs on the box are those that it tells', async () => {
  const box = boxOfTree(
    treeOf({
      '/sys/block/': '',
      '/proc/sys/kernel/osrelease': '6.1.0-56-amd64',
      '/sys/class/dmi/id/bios_version': '1.20',
      '/sys/class/dmi/id/bios_date': '03/14/2019',
      '/proc/cpuinfo': 'processor\t: 0\nmicrocode\t: 0xf4\nflags\t\t: fpu',
      '/sys/bus/pci/devices/0000:03:00.0/class': '0x010700',
      '/sys/bus/pci/devices/0000:03:00.0/vendor': '0x1000',
      '/sys/bus/pci/devices/0000:03:00.0/device': '0x0097',
      '/sys/bus/pci/devices/0000:03:00.0/driver ->': '/sys/bus/pci/drivers/mpt3sas',
      '/sys/bus/pci/drivers/mpt3sas/': '',
      '/sys/bus/pci/devices/0000:03:00.0/host0/phy-0:0/x': '',
      '/sys/class/scsi_host/host0/version_fw': '16.00.12.00',
      '/sys/module/mpt3sas/version': '43.100.00.00',
    }),
  );
  const inventory = await takeInventory(box);
  expect(inventory.box).toMatchObject({ kind: 'box', identityKey: 'box' });
  expect(inventory.box?.versions).toEqual({
    kernel: '6.1.0-56-amd64',
    'board firmware': '1.20 of 03/14/2019',
    'processor microcode': '0xf4',
    'driver mpt3sas': '43.100.00.00',
  });
  expect(inventory.controllers[0]?.firmware).toBe('16.00.12.00');
  expect(microcodeOf('no such line')).toBe(null);
});
