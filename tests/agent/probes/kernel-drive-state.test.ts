import { expect, test } from 'vitest';
import { takeInventory } from '../../../src/agent/probes/inventory.js';
import { readKernelStates } from '../../../src/agent/probes/kernel-drive-state.js';
import { boxOfTree, treeOf } from '../../box/kernel-tree.js';

const disk = '/sys/devices/pci0000:00/0000:00:1f.2/ata3/host2/target2:0:0/2:0:0:0';

/** Shapes of Linux drivers/scsi/scsi_sysfs.c: a word, and "0x%x" for a counter. */
async function told(files: Readonly<Record<string, string>>) {
  const tree = treeOf({
    '/sys/block/sdb ->': `${disk}/block/sdb`,
    [`${disk}/block/sdb/dev`]: '8:16',
    [`${disk}/block/sdb/size`]: '15628053168',
    [`${disk}/block/sdb/device ->`]: disk,
    ...Object.fromEntries(Object.entries(files).map(([name, text]) => [`${disk}/${name}`, text])),
  });
  const box = boxOfTree(tree);
  const parts = await readKernelStates(box, await takeInventory(box));
  return parts.flatMap(({ readings }) => readings.map((one) => [one.metric, one.value, one.text]));
}

test.each([
  ['running', 0, 'the kernel sends it requests'],
  ['live', 0, 'the kernel sends it requests'],
  ['blocked', 1, 'the kernel holds requests back for now'],
  ['transport-offline', 2, 'the kernel gave it up and sends it nothing'],
  ['offline', 2, 'the kernel gave it up and sends it nothing'],
  ['deleting (no IO)', 2, 'the kernel gave it up and sends it nothing'],
])('state %j', async (state, code, text) => {
  expect(await told({ state: `${state}\n` })).toEqual([['kernel-drive-state', code, text]]);
});

test('overdue commands are counted in base 16', async () => {
  expect(await told({ iotmo_cnt: '0x1f\n' })).toEqual([['kernel-timeouts', 31, undefined]]);
  expect(await told({ iotmo_cnt: '0x0\n' })).toEqual([['kernel-timeouts', 0, undefined]]);
});

test.each([{}, { state: 'created', iotmo_cnt: '' }, { state: 'toString', iotmo_cnt: '17' }])(
  '%j tells nothing, which is not zero',
  async (files) => {
    expect(await told(files)).toEqual([]);
  },
);
