import { expect, test } from 'vitest';
import type { LogSubject } from '../../../src/agent/probes/log-fact.js';
import { type LogPlace, logPlaces, placeOf } from '../../../src/agent/probes/log-places.js';
import type { Inventory } from '../../../src/checks/part.js';
import { boxOfTree, treeOf } from '../../box/kernel-tree.js';

const port = '/sys/devices/pci0000:00/0000:00:1c.0';
const card = `${port}/0000:03:00.0`;
const disk = `${card}/host6/target6:0:2/6:0:2:0/block/sdb`;
const drive = `${port.replace('1c.0', '1d.0')}/0000:04:00.0`;
const box = boxOfTree(
  treeOf({
    [`${disk}/`]: '',
    [`${drive}/nvme/nvme0/nvme0n1/`]: '',
    '/sys/block/sdb ->': disk,
    '/sys/block/nvme0n1 ->': `${drive}/nvme/nvme0/nvme0n1`,
    '/sys/bus/pci/devices/0000:03:00.0 ->': card,
    '/sys/bus/pci/devices/0000:04:00.0 ->': drive,
  }),
);

/** Only what names of the log are made from; the rest of a part does not matter here. */
const inventory = {
  drives: [
    { identityKey: 'sas', kernelName: 'sdb', logicalBlockBytes: 512 },
    {
      identityKey: 'nvme',
      kernelName: 'nvme0n1',
      logicalBlockBytes: 4096,
      pciAddress: '0000:04:00.0',
    },
  ],
  controllers: [{ identityKey: 'card', pciAddress: '0000:03:00.0', driver: 'mpt3sas' }],
  arrays: [{ identityKey: 'array', folder: '/sys/block/md127' }],
  box: { identityKey: 'box' },
} as unknown as Inventory;

const places: readonly LogPlace[] = await logPlaces(box, inventory);

test.each<[LogSubject['by'], string, string | null]>([
  ['block-name', 'sdb', 'sas'],
  ['scsi-address', '6:0:2:0', 'sas'],
  ['scsi-host', 'host6', 'sas'],
  ['pci', '0000:03:00.0', 'card'],
  ['pci', '0000:00:1c.0', 'card'],
  ['driver', 'mpt3sas', 'card'],
  ['nvme-controller', 'nvme0', 'nvme'],
  ['pci', '0000:00:1d.0', 'nvme'],
  ['array', 'md127', 'array'],
  ['box', 'box', 'box'],
  ['block-name', 'sdz', null],
  ['scsi-host', 'host7', null],
])('%s %s', (by, name, identityKey) => {
  expect(placeOf({ by, name }, places)?.identityKey ?? null).toBe(identityKey);
});

test('a driver of two cards names neither', () => {
  const twice = [...places, { identityKey: 'other', logicalBlockBytes: 512, names: [] }].map(
    (place) => ({ ...place, names: [...place.names, { by: 'driver', name: 'ahci' } as const] }),
  );
  expect(placeOf({ by: 'driver', name: 'ahci' }, twice)).toBe(null);
});
