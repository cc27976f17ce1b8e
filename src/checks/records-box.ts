/** How far the reading of something beside the drives was held against something else. */
export type BoxRecordProof =
  | 'fake tree of recorded shapes'
  | 'fake tree of recorded shapes, emulated machine'
  | 'worked lines'
  | 'worked lines, emulated machine'
  | 'worked answers'
  | 'worked bytes'
  | 'worked bytes, emulated machine';

/** One thing of the box beside its drives, what is taken from it, and on whose word. */
export interface BoxRecordRow {
  readonly from: 'kernel' | 'firmware' | 'management controller' | 'network card';
  readonly record: string;
  readonly taken: string;
  readonly source: string;
  readonly verified: BoxRecordProof;
}

const tree = 'fake tree of recorded shapes';
const lines = 'worked lines';

/**
 * What is read of the box beside its drives, in the order of the README's second table, which is
 * compared with this list. A "fake tree" is a made-up part of the kernel's folders after its own
 * documents: as it should be, with files absent, and with contents that no sound kernel shows. What
 * names no emulated machine has been tried on nothing else: none has such hardware.
 */
export const boxRecordRows: readonly BoxRecordRow[] = [
  {
    from: 'kernel',
    record: 'SATA links',
    taken: 'speed in use, limits of port and drive, whether the kernel slowed it',
    source: 'Linux 6.1 libata-transport.c; word 76 of IDENTIFY DEVICE',
    verified: tree,
  },
  {
    from: 'kernel',
    record: 'SAS phys of a host adapter',
    taken: 'speed in use, link counters',
    source: 'Linux 6.1 scsi_transport_sas.c',
    verified: tree,
  },
  {
    from: 'kernel',
    record: 'PCI links',
    taken: 'lanes and speed in use, and what card and port above could do',
    source: 'Linux 6.1 pci-sysfs.c',
    verified: tree,
  },
  {
    from: 'kernel',
    record: 'PCI errors (AER)',
    taken: 'counts by kind, at the card and at the port above',
    source: 'Linux 6.1 aer.c; ABI sysfs-bus-pci-devices-aer_stats',
    verified: tree,
  },
  {
    from: 'kernel',
    record: 'Memory errors (EDAC)',
    taken: 'errors put right and not, by module, and since when they are counted',
    source: 'Linux 6.1 ABI sysfs-devices-edac',
    verified: tree,
  },
  {
    from: 'kernel',
    record: 'Sensors (hwmon)',
    taken: 'temperatures with their limits, fans, power',
    source: 'Linux 6.1 hwmon sysfs-interface.rst',
    verified: tree,
  },
  {
    from: 'kernel',
    record: 'Network cards',
    taken: 'rate in use, errors, checksum errors, changes of the link',
    source: 'Linux 6.1 ABI sysfs-class-net',
    verified: tree,
  },
  {
    from: 'kernel',
    record: 'md arrays',
    taken: 'state, members, rebuilding, copies that disagree, errors by member',
    source: 'Linux 6.1 admin-guide/md.rst',
    verified: `${tree}, emulated machine`,
  },
  {
    from: 'kernel',
    record: 'btrfs file systems',
    taken: 'who is missing, what it does to itself, errors by device',
    source: 'Linux 6.1 fs/btrfs/sysfs.c',
    verified: tree,
  },
  {
    from: 'kernel',
    record: 'ZFS pools',
    taken: 'state of the pool',
    source: 'OpenZFS commit 855651aa, from memory',
    verified: tree,
  },
  {
    from: 'kernel',
    record: 'Time limits of commands',
    taken: 'how long the kernel waits for a drive before it resets it',
    source: 'Linux 6.1 drivers/scsi/scsi_sysfs.c, ABI sysfs-block',
    verified: tree,
  },
  {
    from: 'kernel',
    record: 'Energy counters',
    taken: 'power of the processor, over the counter’s end',
    source: 'Linux 6.1 power/powercap/powercap.rst',
    verified: tree,
  },
  {
    from: 'kernel',
    record: 'Log',
    taken: 'resets, slowed and lost links, errors with their place, drives that went',
    source: 'texts of Linux 6.1 and its ABI dev-kmsg',
    verified: `${lines}, emulated machine`,
  },
  {
    from: 'kernel',
    record: 'Counters of disks',
    taken: 'requests, rates, busy time',
    source: 'Linux 6.1 admin-guide/iostats.rst',
    verified: lines,
  },
  {
    from: 'kernel',
    record: 'Load',
    taken: 'tasks that run or wait, in percent of the processors',
    source: 'Linux 6.1 filesystems/proc.rst',
    verified: lines,
  },
  {
    from: 'firmware',
    record: 'Memory modules (SMBIOS)',
    taken: 'place, size, kind, maker, serial number',
    source: 'systeminformation',
    verified: 'worked answers',
  },
  {
    from: 'management controller',
    record: 'Identity and sensors (IPMI)',
    taken: 'temperatures, fans, voltages, supplies, with the controller’s own limits',
    source: 'IPMI 2.0 from memory; Linux 6.1 ipmi.h',
    verified: 'worked bytes, emulated machine',
  },
  {
    from: 'management controller',
    record: 'Event log (IPMI)',
    taken: 'each new entry once, in words',
    source: 'IPMI 2.0 from memory',
    verified: 'worked bytes, emulated machine',
  },
  {
    from: 'network card',
    record: 'Module in the plug (SFP, QSFP)',
    taken: 'what it is, warmth, light sent and received with their limits',
    source: 'SFF-8472 and SFF-8636 from memory; Linux ethtool.h',
    verified: 'worked bytes',
  },
];
