import type { FileSource } from './kernel-tree.js';

/**
 * Files as in Linux 6.1 Documentation/admin-guide/md.rst and fs/btrfs/sysfs.c. The drives, their
 * makers and serials are invented.
 */
export type Entries = Readonly<Record<string, FileSource>>;

export function disk(letter: string, minor: number, serial: string): Entries {
  const folder = `/sys/devices/pci0000:00/0000:00:1f.2/ata${minor}/host${minor}/target${minor}:0:0/${minor}:0:0:0/block/sd${letter}`;
  return {
    [`/sys/block/sd${letter} ->`]: folder,
    [`/sys/class/block/sd${letter} ->`]: folder,
    [`${folder}/dev`]: `8:${minor * 16}`,
    [`${folder}/size`]: '15628053168',
    [`${folder}/removable`]: '0',
    [`${folder}/device ->`]: folder.slice(0, folder.indexOf('/block/')),
    [`${folder.slice(0, folder.indexOf('/block/'))}/vpd_pg80`]: serialPage(serial),
  };
}

/** VPD page 80h, SPC-4: peripheral byte, page code, length, serial. */
function serialPage(serial: string): Uint8Array {
  return Buffer.concat([Buffer.from([0, 0x80, 0, serial.length]), Buffer.from(serial)]);
}

const array: Entries = {
  ...disk('b', 1, 'TVN4410A'),
  ...disk('c', 2, 'TVN4410B'),
  '/sys/block/md127 ->': '/sys/devices/virtual/block/md127',
  '/sys/devices/virtual/block/md127/slaves/sdb ->': '/sys/block/sdb',
  '/sys/devices/virtual/block/md127/slaves/sdc ->': '/sys/block/sdc',
  '/dev/md127': '',
  '/dev/disk/by-id/md-name-reading-room:tapes ->': '/dev/md127',
  '/dev/disk/by-id/md-uuid-3aaa0122:29827cfa:5331ad66:ca767371 ->': '/dev/md127',
};

/** An array of two such disks with these files in its own folder. */
export function md(files: Entries): Entries {
  const named = Object.entries(files).map(([name, source]) => [
    `/sys/devices/virtual/block/md127/md/${name}`,
    source,
  ]);
  return { ...array, ...Object.fromEntries(named) };
}
