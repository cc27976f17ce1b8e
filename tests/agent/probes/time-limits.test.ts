import { expect, test } from 'vitest';
import { takeInventory } from '../../../src/agent/probes/inventory.js';
import { rateReading, readSasPhys } from '../../../src/agent/probes/sas-phys.js';
import { readTimeLimits } from '../../../src/agent/probes/time-limits.js';
import { timeLimitWords } from '../../../src/checks/time-limit-words.js';
import { boxOfTree, type FileSource, treeOf } from '../../box/kernel-tree.js';

const disk = '/sys/devices/pci0000:00/0000:00:1f.2/ata3/host2/target2:0:0/2:0:0:0';

async function limitsOf(more: Readonly<Record<string, FileSource>>) {
  const box = boxOfTree(
    treeOf({
      '/sys/block/sdb ->': `${disk}/block/sdb`,
      [`${disk}/block/sdb/dev`]: '8:16',
      [`${disk}/block/sdb/size`]: '15628053168',
      [`${disk}/block/sdb/device ->`]: disk,
      ...more,
    }),
  );
  const parts = await readTimeLimits(box, await takeInventory(box));
  return parts.flatMap(({ readings }) => readings.map(({ value, source }) => [value, source]));
}

test('how long the kernel waits is told by the disk, else by its queue', async () => {
  expect(await limitsOf({ [`${disk}/timeout`]: '30' })).toEqual([
    [30_000, 'Kernel file timeout of the disk'],
  ]);
  expect(await limitsOf({ [`${disk}/block/sdb/queue/io_timeout`]: '30000' })).toEqual([
    [30_000, 'Kernel file io_timeout of the queue'],
  ]);
  expect(await limitsOf({ [`${disk}/timeout`]: '0' })).toEqual([]);
  expect(await limitsOf({})).toEqual([]);
});

test.each([
  [7000, 'the drive gives up on a bad place after 7 s, before the kernel does'],
  [30_000, 'the drive gives up on a bad place after 30 s, which is not earlier'],
  [120_000, 'which is not earlier, so it may be reset while it still tries'],
  [0, 'the drive sets itself no limit, so it may be reset'],
  [null, 'whether the drive itself gives up on a bad place earlier is not known'],
])('a drive with a limit of %s ms beside 30 s', (driveMs, words) => {
  const sentence = timeLimitWords({ kernelMs: 30_000, driveMs });
  expect(sentence).toContain('the kernel waits 30 s for a command; ');
  expect(sentence).toContain(words);
});

const card = '/sys/devices/pci0000:00/0000:03:00.0';
const phy = '/sys/class/sas_phy/phy-0:2';

test('each phy of a host adapter tells its rate and counters (scsi_transport_sas.c)', async () => {
  const box = boxOfTree(
    treeOf({
      '/sys/block/': '',
      '/sys/bus/pci/devices/0000:03:00.0 ->': card,
      [`${card}/class`]: '0x010700',
      [`${card}/vendor`]: '0x1000',
      [`${card}/device`]: '0x0097',
      [`${card}/host0/phy-0:2/uevent`]: '',
      [`${card}/host0/port-0:0/uevent`]: '',
      [`${phy}/negotiated_linkrate`]: '6.0 Gbit',
      [`${phy}/invalid_dword_count`]: '1402',
      [`${phy}/running_disparity_error_count`]: '12',
      [`${phy}/loss_of_dword_sync_count`]: '3',
      [`${phy}/phy_reset_problem_count`]: 'x',
    }),
  );
  const [part] = await readSasPhys(box, await takeInventory(box));
  expect(part?.identityKey).toBe('pci:1000:0097:0000:03:00.0');
  expect(part?.readings.map(({ metric, place, value }) => [metric, place, value])).toEqual([
    ['sas-link-speed', 'phy-2', 6_000_000_000],
    ['sas-invalid-words', 'phy-2', 1402],
    ['sas-disparity-errors', 'phy-2', 12],
    ['sas-sync-losses', 'phy-2', 3],
  ]);
});

test.each([
  ['12.0 Gbit', 12_000_000_000],
  ['22.5 Gbit', 22_500_000_000],
  ['Phy disabled', null],
  ['Unknown', null],
  [null, null],
])('a phy that says %s', (text, rate) => {
  expect(rateReading('phy-0', text).value).toBe(rate);
});
