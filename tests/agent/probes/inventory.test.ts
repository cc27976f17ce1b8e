import { describe, expect, test } from 'vitest';
import { driveAtPath, takeInventory } from '../../../src/agent/probes/inventory.js';
import type { DriveSeen } from '../../../src/checks/part.js';
import { boxOfTree, type FileSource, treeOf } from '../../box/kernel-tree.js';

/**
 * Trees of /sys as Linux 6.1 shows them. Forms of the files: Linux ABI/stable/sysfs-block,
 * ABI/testing/sysfs-ata, sysfs-class-net, hwmon sysfs-interface.rst; page layouts SPC-4 and SAT.
 */

type Entries = Readonly<Record<string, FileSource>>;

function block(name: string, path: string, facts: Entries): Entries {
  const folder = `${path}/block/${name}`;
  const entries = Object.entries(facts).map(([file, value]) => [`${folder}/${file}`, value]);
  return {
    [`/sys/block/${name} ->`]: folder,
    [`${folder}/device ->`]: path,
    ...Object.fromEntries(entries),
  };
}

/** VPD page 80h: 00h, 80h, length 20, then the serial padded with spaces. */
const page80 = Buffer.concat([
  Buffer.from([0x00, 0x80, 0x00, 0x14]),
  Buffer.from('            ZL2Q9917', 'latin1'),
]);

/** VPD page 83h: one T10 designator of 8 bytes, then NAA 5000c500a1b2c3d4. */
const page83 = Buffer.from(
  '00830018' + '02010008' + '4154412020202020' + '01030008' + '5000c500a1b2c3d4',
  'hex',
);

const sataPath = '/sys/devices/pci0000:00/0000:00:1f.2/ata5/host4/target4:0:0/4:0:0:0';

const ahci: Entries = {
  '/sys/bus/pci/devices/0000:00:1f.2 ->': '/sys/devices/pci0000:00/0000:00:1f.2',
  '/sys/devices/pci0000:00/0000:00:1f.2/class': '0x010601',
  '/sys/devices/pci0000:00/0000:00:1f.2/vendor': '0x8086',
  '/sys/devices/pci0000:00/0000:00:1f.2/device': '0x1c02',
  '/sys/bus/pci/drivers/ahci/': '',
  '/sys/devices/pci0000:00/0000:00:1f.2/driver ->': '/sys/bus/pci/drivers/ahci',
  '/sys/class/ata_port/ata5 ->': '/sys/devices/pci0000:00/0000:00:1f.2/ata5/ata_port/ata5',
  '/sys/devices/pci0000:00/0000:00:1f.2/ata5/ata_port/ata5/port_no': '3',
  '/sys/class/ata_link/link5 ->': '/sys/devices/pci0000:00/0000:00:1f.2/ata5/link5/ata_link/link5',
  '/sys/devices/pci0000:00/0000:00:1f.2/ata5/link5/ata_link/link5/hw_sata_spd_limit': '6.0 Gbps',
  ...block('sdb', sataPath, {
    dev: '8:16',
    size: '7814037168',
    diskseq: '11',
    'queue/logical_block_size': '512',
    'queue/physical_block_size': '4096',
    'queue/rotational': '1',
  }),
  [`${sataPath}/vendor`]: 'ATA     ',
  [`${sataPath}/model`]: 'ST4000VN008-2DR1',
  [`${sataPath}/rev`]: 'SC60',
  [`${sataPath}/vpd_pg80`]: page80,
  [`${sataPath}/vpd_pg83`]: page83,
};

async function inventoryOf(entries: Entries) {
  return takeInventory(boxOfTree(treeOf(entries)));
}

async function driveOf(entries: Entries): Promise<DriveSeen> {
  const { drives } = await inventoryOf(entries);
  expect(drives.length).toBe(1);
  return drives[0] as DriveSeen;
}

describe('a SATA disk on an AHCI controller', () => {
  test('is known by its own name and port, by the kernel’s copies alone', async () => {
    expect(await driveOf(ahci)).toEqual({
      kind: 'drive',
      id: 'ZL2Q9917',
      identityKey: 'wwn:5000c500a1b2c3d4',
      model: 'ST4000VN008-2DR1',
      serial: 'ZL2Q9917',
      firmware: 'SC60',
      worldWideName: '5000c500a1b2c3d4',
      capacityBytes: 4_000_787_030_016,
      logicalBlockBytes: 512,
      physicalBlockBytes: 4096,
      rotating: true,
      reachedBy: 'ata',
      kernelName: 'sdb',
      devicePath: '/dev/sdb',
      deviceNumber: '8:16',
      diskSequence: '11',
      controller: 'disk-controller-00-1f-2',
      port: 'port-3',
      notVisibleWhy: null,
      duplicateIdentity: false,
    });
  });

  test('its controller is listed with its ports', async () => {
    const { controllers } = await inventoryOf(ahci);
    expect(controllers).toMatchObject([
      {
        kind: 'disk-controller',
        id: 'disk-controller-00-1f-2',
        identityKey: 'pci:8086:1c02:0000:00:1f.2',
        label: 'SATA controller, driver ahci',
        ports: [{ id: 'port-3', bitsPerSecondMax: 6_000_000_000 }],
      },
    ]);
  });

  test('the whole model and firmware come from the kept IDENTIFY page', async () => {
    const identify = Buffer.alloc(512);
    // Words 27-46, model: in each word the high byte is the first character.
    Buffer.from('TS0400NV00-8D21R66'.padEnd(40)).copy(identify, 54);
    Buffer.from('CS06'.padEnd(8)).copy(identify, 46);
    const page89 = Buffer.alloc(572);
    page89.set([0x00, 0x89, 0x02, 0x38]);
    page89[56] = 0xec;
    identify.copy(page89, 60);
    const drive = await driveOf({ ...ahci, [`${sataPath}/vpd_pg89`]: page89 });
    expect(drive.model).toBe('ST4000VN008-2DR166');
    expect(drive.firmware).toBe('SC60');
  });

  test('the partition, zram, md, dm, optical and empty loop devices beside it are no drives', async () => {
    const others = ['zram0', 'ram0', 'md127', 'dm-0', 'sr0', 'loop0', 'fd0', 'zd16', 'nbd0'];
    const entries = Object.fromEntries(
      others.map((name) => [`/sys/block/${name}/size`, name === 'nbd0' ? '0' : '2048']),
    );
    expect((await driveOf({ ...ahci, ...entries })).kernelName).toBe('sdb');
  });
});

const usbPath = (port: string, host: number) =>
  `/sys/devices/pci0000:00/0000:00:14.0/usb2/${port}/${port}:1.0/host${host}/target${host}:0:0/${host}:0:0:0`;

/** A USB bridge that keeps no VPD pages: vendor and model are the bridge's, so is the serial. */
function usbDisk(name: string, port: string, host: number): Entries {
  const path = usbPath(port, host);
  return {
    ...block(name, path, {
      dev: `8:${16 * host}`,
      size: '1953525168',
      'queue/rotational': '1',
      removable: '0',
    }),
    [`${path}/vendor`]: 'JMicron ',
    [`${path}/model`]: 'Generic         ',
    [`/sys/devices/pci0000:00/0000:00:14.0/usb2/${port}/serial`]: '0123456789ABCDEF',
  };
}

describe('USB bridges with a filler for a serial', () => {
  test('one alone has no name of its own: it is known by its place', async () => {
    const drive = await driveOf(usbDisk('sdc', '2-1', 6));
    expect(drive).toMatchObject({
      id: 'unnamed-drive-00-14-0-usb-2-1',
      identityKey: 'place:0000:00:14.0/usb-2-1/Generic',
      serial: '0123456789ABCDEF',
      reachedBy: 'usb',
      rotating: null,
      duplicateIdentity: false,
    });
  });

  test('two with the same filler are both marked and stay two parts', async () => {
    const { drives } = await inventoryOf({
      ...usbDisk('sdc', '2-1', 6),
      ...usbDisk('sdd', '2-4', 7),
    });
    expect(drives.map(({ duplicateIdentity }) => duplicateIdentity)).toEqual([true, true]);
    expect(drives.map(({ identityKey }) => identityKey)).toEqual([
      'place:0000:00:14.0/usb-2-1/Generic',
      'place:0000:00:14.0/usb-2-4/Generic',
    ]);
    expect(new Set(drives.map(({ id }) => id)).size).toBe(2);
  });
});

test('two drives with one world-wide name are both marked, with their places in the identity', async () => {
  const otherPath = sataPath.replace(
    'ata5/host4/target4:0:0/4:0:0:0',
    'ata6/host5/target5:0:0/5:0:0:0',
  );
  const { drives } = await inventoryOf({
    ...ahci,
    '/sys/class/ata_port/ata6/port_no': '4',
    ...block('sda', otherPath, { dev: '8:0', size: '7814037168' }),
    [`${otherPath}/vendor`]: 'ATA     ',
    [`${otherPath}/model`]: 'ST4000VN008-2DR1',
    [`${otherPath}/vpd_pg80`]: Buffer.concat([
      Buffer.from([0, 0x80, 0, 8]),
      Buffer.from('ZL2Q0001'),
    ]),
    [`${otherPath}/wwid`]: 'naa.5000c500a1b2c3d4',
  });
  expect(drives.map(({ identityKey }) => identityKey)).toEqual([
    'wwn:5000c500a1b2c3d4@0000:00:1f.2/port-4',
    'wwn:5000c500a1b2c3d4@0000:00:1f.2/port-3',
  ]);
  expect(drives.every(({ duplicateIdentity }) => duplicateIdentity)).toBe(true);
  expect(drives.map(({ id }) => id)).toEqual([
    'ZL2Q0001-at-00-1f-2-port-4',
    'ZL2Q9917-at-00-1f-2-port-3',
  ]);
});

const nvmeFunction = '/sys/devices/pci0000:00/0000:00:1d.0/0000:01:00.0';
const nvme: Entries = {
  '/sys/bus/pci/devices/0000:00:1d.0 ->': '/sys/devices/pci0000:00/0000:00:1d.0',
  '/sys/devices/pci0000:00/0000:00:1d.0/class': '0x060400',
  '/sys/devices/pci0000:00/0000:00:1d.0/max_link_speed': '8.0 GT/s PCIe',
  '/sys/devices/pci0000:00/0000:00:1d.0/max_link_width': '4',
  '/sys/bus/pci/devices/0000:01:00.0 ->': nvmeFunction,
  [`${nvmeFunction}/class`]: '0x010802',
  [`${nvmeFunction}/current_link_speed`]: '5.0 GT/s PCIe',
  [`${nvmeFunction}/current_link_width`]: '2',
  [`${nvmeFunction}/max_link_speed`]: '16.0 GT/s PCIe',
  [`${nvmeFunction}/max_link_width`]: '4',
};

test('an NVMe drive is one drive and not a controller besides', async () => {
  const controller = `${nvmeFunction}/nvme/nvme0`;
  const { drives, controllers } = await inventoryOf({
    ...nvme,
    '/sys/block/nvme0n1 ->': `${controller}/nvme0n1`,
    [`${controller}/nvme0n1/device ->`]: controller,
    [`${controller}/nvme0n1/size`]: '1000215216',
    [`${controller}/nvme0n1/dev`]: '259:0',
    [`${controller}/nvme0n1/wwid`]: 'eui.0025385b91b0a1c2',
    [`${controller}/model`]: 'QUILLON KITE 512                        ',
    [`${controller}/serial`]: 'QK5N00417           ',
    [`${controller}/firmware_rev`]: 'K1.07   ',
  });
  expect(controllers).toEqual([]);
  expect(drives).toMatchObject([
    {
      id: 'QK5N00417',
      identityKey: 'wwn:0025385b91b0a1c2',
      model: 'QUILLON KITE 512',
      firmware: 'K1.07',
      capacityBytes: 512_110_190_592,
      rotating: false,
      reachedBy: 'nvme',
      port: null,
      pciAddress: '0000:01:00.0',
      pciLink: {
        speedGigatransfers: 5,
        lanes: 2,
        ownSpeedMax: 16,
        ownLanesMax: 4,
        portSpeedMax: 8,
        portLanesMax: 4,
      },
    },
  ]);
});

test('with several paths to an NVMe drive the kernel’s virtual folder is seen through', async () => {
  const subsystem = '/sys/devices/virtual/nvme-subsystem/nvme-subsys0';
  const drive = await driveOf({
    ...nvme,
    '/sys/block/nvme0n1 ->': `${subsystem}/nvme0n1`,
    [`${subsystem}/nvme0n1/device ->`]: subsystem,
    [`${subsystem}/nvme0n1/size`]: '1000215216',
    [`${subsystem}/nvme0 ->`]: `${nvmeFunction}/nvme/nvme0`,
    [`${subsystem}/model`]: 'QUILLON KITE 512',
    [`${subsystem}/serial`]: 'QK5N00417',
    [`${nvmeFunction}/nvme/nvme0/transport`]: 'pcie',
  });
  expect(drive).toMatchObject({ reachedBy: 'nvme', pciAddress: '0000:01:00.0' });
  expect(drive.identityKey).toBe('serial:QUILLON KITE 512/QK5N00417');
});

const virtioPath = '/sys/devices/pci0000:00/0000:00:02.0/virtio1';
const virtual: Entries = {
  '/sys/bus/pci/devices/0000:00:02.0 ->': '/sys/devices/pci0000:00/0000:00:02.0',
  '/sys/devices/pci0000:00/0000:00:02.0/class': '0x018000',
  '/sys/devices/pci0000:00/0000:00:02.0/vendor': '0x1af4',
  '/sys/devices/pci0000:00/0000:00:02.0/device': '0x1042',
  ...block('vda', virtioPath, { dev: '254:0', size: '536870912', serial: '' }),
};

test('a virtio disk is virtual and says why, and each empty group says why', async () => {
  const { drives, controllers, emptyWhy } = await inventoryOf(virtual);
  expect(controllers).toEqual([]);
  expect(drives).toMatchObject([
    {
      id: 'virtual-disk-00-02-0',
      identityKey: 'virtual:0000:00:02.0',
      reachedBy: 'virtual',
      capacityBytes: 274_877_906_944,
      notVisibleWhy:
        'Virtual disk: the host of this virtual machine provides it and no drive can be asked',
    },
  ]);
  expect(Object.keys(emptyWhy).sort()).toEqual([
    'arrays',
    'disk-controllers',
    'fans',
    'management-controller',
    'memory',
    'memory-errors',
    'network-cards',
    'sata-links',
    'sensor-chips',
    'temperature-sensors',
  ]);
  expect(emptyWhy.fans).toBe('No fan input: a virtual machine is shown none of its host’s sensors');
  expect(emptyWhy['sata-links']).toBe(
    'The kernel shows no SATA port: no SATA controller is in use',
  );
});

test('without /sys every group is empty and says that nothing can be read', async () => {
  const { drives, emptyWhy } = await inventoryOf({ '/proc/version': 'Linux version 6.1.0 (x)' });
  expect(drives).toEqual([]);
  const { 'management-controller': management, ...groups } = emptyWhy;
  expect(management).toBe('No management controller: there is no way to one from here');
  expect(new Set(Object.values(groups))).toEqual(
    new Set(['The kernel’s device tree under /sys cannot be read here']),
  );
});

test('a real machine without sensor drivers is told apart from a virtual one', async () => {
  const { emptyWhy } = await inventoryOf(ahci);
  expect(emptyWhy['temperature-sensors']).toBe(
    'No temperature sensor: the kernel has no sensor driver loaded (/sys/class/hwmon is absent)',
  );
});

const sasPath =
  '/sys/devices/pci0000:00/0000:00:01.0/0000:02:00.0/host0/port-0:2/end_device-0:2/target0:0:2/0:0:2:0';

test('a SAS disk is reached by SCSI at its phy, a SATA disk behind the same card by ATA', async () => {
  const entries = (vendor: string): Entries => ({
    ...block('sda', sasPath, { dev: '8:0', size: '7814037168' }),
    [`${sasPath}/vendor`]: vendor,
    [`${sasPath}/model`]: 'ST4000NM0025    ',
    [`${sasPath}/vpd_pg80`]: page80,
    [`${sasPath}/wwid`]: 'naa.5000c500a1b2c3d4',
    '/sys/devices/pci0000:00/0000:00:01.0/0000:02:00.0/host0/phy-0:6/': '',
    '/sys/devices/pci0000:00/0000:00:01.0/0000:02:00.0/host0/port-0:2/phy-0:6 ->':
      '/sys/devices/pci0000:00/0000:00:01.0/0000:02:00.0/host0/phy-0:6',
  });
  expect(await driveOf(entries('SEAGATE '))).toMatchObject({ reachedBy: 'scsi', port: 'phy-6' });
  expect(await driveOf(entries('ATA     '))).toMatchObject({ reachedBy: 'ata', port: 'phy-6' });
});

test('a disk that a hypervisor or a RAID controller makes up says so', async () => {
  const made = (vendor: string, model: string) =>
    driveOf({
      ...block('sda', sasPath, { size: '4096' }),
      [`${sasPath}/vendor`]: vendor,
      [`${sasPath}/model`]: model,
    });
  expect((await made('QEMU    ', 'QEMU HARDDISK   ')).notVisibleWhy).toMatch(/^Virtual disk: /);
  expect((await made('DELL    ', 'PERC H730 Mini  ')).notVisibleWhy).toMatch(
    /^Behind a RAID controller: /,
  );
});

describe('a device by its path', () => {
  const loop: Entries = {
    '/sys/block/loop3/size': '16384',
    '/sys/block/loop3/dev': '7:3',
    '/sys/block/loop3/diskseq': '42',
    '/sys/block/loop3/loop/backing_file': '/tmp/trial.image',
  };

  test('a loop device is found, with its file as what it is known by', async () => {
    const answer = await driveAtPath(boxOfTree(treeOf({ ...ahci, ...loop })), '/dev/loop3');
    expect(answer).toMatchObject({
      ok: true,
      value: {
        identityKey: 'virtual:/tmp/trial.image',
        model: '/tmp/trial.image',
        serial: '',
        reachedBy: 'virtual',
        capacityBytes: 8_388_608,
        deviceNumber: '7:3',
        duplicateIdentity: false,
      },
    });
  });

  test.each(['/dev/sdb1', '/dev/../etc/passwd', 'sdb', '/dev/sdz', '/dev/'])(
    '%s is refused as no whole disk',
    async (path) => {
      const answer = await driveAtPath(boxOfTree(treeOf(ahci)), path);
      expect(answer).toMatchObject({ ok: false, absence: { kind: 'not-there' } });
    },
  );
});
