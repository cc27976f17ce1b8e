import { describe, expect, test } from 'vitest';
import { driveInUse, lookAtUse } from '../../../src/agent/probes/in-use.js';
import { parseMounts, parseSwaps } from '../../../src/agent/probes/parse-mounts.js';
import { boxOfTree, type FileSource, treeOf } from '../../box/kernel-tree.js';

type Entries = Readonly<Record<string, FileSource>>;

const drive = { deviceNumber: '8:16', diskSequence: '11' };
const folder = '/sys/devices/pci0000:00/0000:00:1f.2/ata5/host4/target4:0:0/4:0:0:0/block/sdb';

/** A whole disk sdb with one partition, on a system whose root is elsewhere (8:1). */
const free: Entries = {
  '/sys/block/sdb ->': folder,
  '/sys/class/block/sdb ->': folder,
  '/sys/class/block/sdb1 ->': `${folder}/sdb1`,
  '/sys/dev/block/8:16 ->': folder,
  '/sys/dev/block/8:17 ->': `${folder}/sdb1`,
  [`${folder}/dev`]: '8:16',
  [`${folder}/diskseq`]: '11',
  [`${folder}/ro`]: '0',
  [`${folder}/holders/`]: '',
  [`${folder}/slaves/`]: '',
  [`${folder}/sdb1/dev`]: '8:17',
  [`${folder}/sdb1/partition`]: '1',
  [`${folder}/sdb1/holders/`]: '',
  '/proc/self/mountinfo': '26 1 8:1 / / rw - ext4 /dev/sda1 rw',
  '/proc/1/mountinfo': '26 1 8:1 / / rw - ext4 /dev/sda1 rw',
  '/proc/swaps': 'Filename Type Size Used Priority',
};

function reasons(more: Entries): Promise<readonly string[]> {
  return driveInUse(boxOfTree(treeOf({ ...free, ...more })), drive);
}

/** A device made of others: dm-0 or md0 with its slaves, held by a piece of the disk. */
function built(name: string, number: string, slave: string): Entries {
  const own = `/sys/devices/virtual/block/${name}`;
  const held = slave === 'sdb' ? folder : `${folder}/${slave}`;
  return {
    [`/sys/class/block/${name} ->`]: own,
    [`/sys/dev/block/${number} ->`]: own,
    [`${own}/dev`]: number,
    [`${own}/slaves/${slave} ->`]: held,
    [`${held}/holders/${name} ->`]: own,
  };
}

test('a disk that nothing uses has no reason', async () => {
  expect(await reasons({})).toEqual([]);
});

test('a disk whose zones the host has to manage is refused, others with zones are not', async () => {
  // Linux ABI/stable/sysfs-block: none, host-aware, host-managed.
  const zoned = (word: string) => reasons({ [`${folder}/queue/zoned`]: word });
  expect(await zoned('host-managed')).toEqual([
    'It takes writes only in the order of its zones, which a burn-in here does not keep to',
  ]);
  expect(await zoned('host-aware')).toEqual([]);
  expect(await zoned('none')).toEqual([]);
});

describe('a disk is in use when', () => {
  test('a partition is mounted, here or for the first process alone', async () => {
    const mount = '40 26 8:17 / /mnt/family\\040photos rw - ext4 /dev/sdb1 rw';
    const told = ['Its partition 1 is mounted at /mnt/family photos'];
    expect(await reasons({ '/proc/self/mountinfo': mount })).toEqual(told);
    expect(await reasons({ '/proc/1/mountinfo': mount })).toEqual(told);
  });

  test('the disk itself is mounted without partitions', async () => {
    const mount = '40 26 8:16 / /srv rw - xfs /dev/sdb rw';
    expect(await reasons({ '/proc/self/mountinfo': mount })).toEqual([
      'The drive is mounted at /srv',
    ]);
  });

  test('a file system with a number of its own names it as source', async () => {
    const mount = '40 26 0:45 /@home /home rw - btrfs /dev/sdb1 rw';
    expect(await reasons({ '/proc/self/mountinfo': mount })).toEqual([
      'Its partition 1 is mounted at /home',
    ]);
  });

  test('it is a member of a mounted btrfs that names another member', async () => {
    const id = '2f0d0f8e-1e8b-4a55-9a3c-0c6c1a9d7e11';
    expect(await reasons({ [`/sys/fs/btrfs/${id}/devices/sdb1 ->`]: `${folder}/sdb1` })).toEqual([
      `Its partition 1 is a member of the mounted btrfs file system ${id}`,
    ]);
  });

  test('a partition is swap space', async () => {
    const swaps = 'Filename Type Size Used Priority\n/dev/sdb1   partition  1048572  0  -2';
    expect(await reasons({ '/proc/swaps': swaps })).toEqual([
      'Its partition 1 is swap space in use',
    ]);
  });

  test('it is a member of an array, whole or by a partition', async () => {
    expect(await reasons(built('md0', '9:0', 'sdb'))).toEqual([
      'The drive belongs to the array md0',
    ]);
    expect(await reasons(built('md127', '9:127', 'sdb1'))).toEqual([
      'Its partition 1 belongs to the array md127',
    ]);
  });

  test.each([
    ['LVM-abcdef', 'the volume photos-main (LVM)'],
    ['CRYPT-LUKS2-abc', 'the encrypted volume photos-main'],
    ['mpath-3600', 'the multipath disk photos-main'],
    ['', 'the mapped disk photos-main'],
  ])('a mapped volume (%s) lies on it', async (uuid, words) => {
    const told = await reasons({
      ...built('dm-0', '253:0', 'sdb1'),
      '/sys/devices/virtual/block/dm-0/dm/name': 'photos-main',
      '/sys/devices/virtual/block/dm-0/dm/uuid': uuid,
    });
    expect(told).toEqual([`Its partition 1 belongs to ${words}`]);
  });

  test('the root lies on it through a mapped volume on an array', async () => {
    const told = await reasons({
      ...built('md0', '9:0', 'sdb1'),
      '/sys/class/block/dm-3 ->': '/sys/devices/virtual/block/dm-3',
      '/sys/dev/block/253:3 ->': '/sys/devices/virtual/block/dm-3',
      '/sys/devices/virtual/block/dm-3/dev': '253:3',
      '/sys/devices/virtual/block/dm-3/slaves/md0 ->': '/sys/devices/virtual/block/md0',
      '/proc/1/mountinfo': '26 1 253:3 / / rw - ext4 /dev/mapper/root rw',
    });
    expect(told).toEqual([
      'It is the system drive: the running system lies on it',
      'Its partition 1 belongs to the array md0',
    ]);
  });

  test('the root is a btrfs that only names another of its members', async () => {
    const id = '2f0d0f8e-1e8b-4a55-9a3c-0c6c1a9d7e11';
    const told = await reasons({
      '/proc/1/mountinfo': '26 1 0:22 /@ / rw - btrfs /dev/sda2 rw',
      [`/sys/fs/btrfs/${id}/devices/sda2`]: '',
      [`/sys/fs/btrfs/${id}/devices/sdb1 ->`]: `${folder}/sdb1`,
    });
    expect(told[0]).toBe('It is the system drive: the running system lies on it');
  });

  test('a loop device shows it once more', async () => {
    expect(await reasons({ '/sys/block/loop2/loop/backing_file': '/dev/sdb1' })).toEqual([
      'Its partition 1 is shown once more as a loop device',
    ]);
  });

  test('it is write-protected', async () => {
    expect(await reasons({ [`${folder}/ro`]: '1' })).toEqual(['It is write-protected']);
  });
});

describe('what cannot be read never frees a disk', () => {
  test.each([
    [
      '/proc/self/mountinfo',
      'Whether it is mounted cannot be told: the list of mounts could not be read',
    ],
    [
      '/proc/1/mountinfo',
      'Whether it is mounted cannot be told: the list of mounts could not be read',
    ],
    ['/proc/swaps', 'Whether it is swap space cannot be told: /proc/swaps could not be read'],
    [`${folder}/ro`, 'Whether it is write-protected cannot be told'],
  ])('%s', async (path, reason) => {
    expect(await reasons({ [path]: { fails: 'not-permitted' } })).toEqual([reason]);
  });

  test('a kernel without swap has no such file, which is a clear no', async () => {
    expect(await reasons({ '/proc/swaps': { fails: 'not-there' } })).toEqual([]);
  });

  test('another disk at its number is not taken for it', async () => {
    expect(await reasons({ [`${folder}/diskseq`]: '12' })).toEqual([
      'Another disk answers in its place now: the box has to be looked at again',
    ]);
    const gone = await driveInUse(boxOfTree(treeOf(free)), { ...drive, deviceNumber: '8:32' });
    expect(gone[0]).toMatch(/^Another disk answers/);
  });

  test('ZFS pools are named as what the kernel does not place', async () => {
    const tree = treeOf({ ...free, '/proc/spl/kstat/zfs/tank/state': 'ONLINE' });
    expect(await lookAtUse(boxOfTree(tree), drive)).toEqual({
      reasons: [],
      cannotTell: [
        'ZFS pools are in use (tank) and the kernel does not tell on which drives they lie',
      ],
    });
  });
});

test('lines of mountinfo with and without optional fields are read, broken ones are not', () => {
  // Linux Documentation/filesystems/proc.rst, section 3.5, and a line with no optional field.
  const text = [
    '36 35 98:0 /mnt1 /mnt2 rw,noatime master:1 - ext3 /dev/root rw,errors=continue',
    '26 1 254:0 / / rw,relatime - ext4 /dev/vda rw,discard',
    'broken line',
    '',
  ].join('\n');
  expect(parseMounts(text)).toEqual([
    { deviceNumber: '98:0', mountPoint: '/mnt2', fileSystem: 'ext3', source: '/dev/root' },
    { deviceNumber: '254:0', mountPoint: '/', fileSystem: 'ext4', source: '/dev/vda' },
  ]);
  expect(parseSwaps('Filename\tType\n/dev/dm-1\tpartition\n/swap\\040file\tfile\n')).toEqual([
    '/dev/dm-1',
    '/swap file',
  ]);
});
