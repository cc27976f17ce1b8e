import { below, type Entries, type RecordedSubject, sataDisk } from './recorded-trees.js';

const members: Entries = { ...sataDisk('b', 1), ...sataDisk('c', 2) };

function mdArray(files: Entries): Entries {
  const block = '/sys/devices/virtual/block/md127';
  return {
    ...members,
    '/sys/block/md127 ->': block,
    [`${block}/slaves/sdb ->`]: '/sys/block/sdb',
    [`${block}/slaves/sdc ->`]: '/sys/block/sdc',
    '/dev/md127': '',
    '/dev/disk/by-id/md-name-reading-room:tapes ->': '/dev/md127',
    '/dev/disk/by-id/md-uuid-3aaa0122:29827cfa:5331ad66:ca767371 ->': '/dev/md127',
    ...below(`${block}/md`, files),
  };
}

export const mdArrays: RecordedSubject = {
  reader: 'readArrays',
  source: 'Linux 6.1 Documentation/admin-guide/md.rst',
  good: {
    tree: mdArray({
      level: 'raid1',
      raid_disks: '2',
      layout: '0',
      array_state: 'clean',
      degraded: '0',
      sync_action: 'idle',
      sync_completed: 'none',
      mismatch_cnt: '128',
      last_sync_action: 'check',
      'dev-sdb/state': 'in_sync',
      'dev-sdb/slot': '0',
      'dev-sdb/errors': '16',
      'dev-sdb/bad_blocks': '2048 8',
      'dev-sdb/block ->': '/sys/block/sdb',
    }),
    rows: [
      ['array-state', 0],
      ['array-members-missing', 0],
      ['array-may-still-fail', 1],
      ['array-work', 0],
      ['array-mismatches', 128],
      ['array-member-state TVN4410B', 0],
      ['array-member-errors TVN4410B', 16],
    ],
  },
  absent: {
    // A block device without a level is no array at all: one that was stopped, or never started.
    tree: mdArray({ level: 'raid1' }),
    rows: [
      ['array-state', 'no-figure'],
      ['array-members-missing', 'no-figure'],
      ['array-may-still-fail', 'no-figure'],
      ['array-work', 'no-figure'],
      ['array-mismatches', 'no-figure'],
    ],
  },
  absurd: {
    tree: mdArray({
      level: 'raid99',
      raid_disks: '18446744073709551615',
      array_state: 'asleep',
      degraded: '-1',
      sync_action: 'juggle',
      sync_completed: '9 / 3',
      sync_speed: '-150000',
      mismatch_cnt: 'many',
      'dev-sdb/state': '',
      'dev-sdb/errors': '-16',
      'dev-sdb/bad_blocks': 'two eight',
      'dev-sdb/block ->': '/sys/block/sdb',
    }),
    rows: [
      ['array-state', 'no-figure'],
      ['array-members-missing', 'no-figure'],
      ['array-may-still-fail', 'no-figure'],
      ['array-work', 'no-figure'],
      ['array-mismatches', 'no-figure'],
      ['array-member-state TVN4410B', 'no-figure'],
    ],
  },
};

function btrfs(files: Entries): Entries {
  const folder = '/sys/fs/btrfs/0d5f2c7e-98a1-4c60-9f2b-6b1d8f0c3a11';
  return {
    ...members,
    ...below(folder, {
      label: 'tapes',
      'devices/sdb ->': '/sys/block/sdb',
      'devices/sdc ->': '/sys/block/sdc',
      ...files,
    }),
  };
}

const deviceFigures = [
  'array-write-errors',
  'array-read-errors',
  'array-flush-errors',
  'array-damaged-blocks',
  'array-stale-blocks',
] as const;
const noCounters = deviceFigures.map((metric) => [`${metric} device 1`, 'no-figure'] as const);

export const btrfsFileSystems: RecordedSubject = {
  reader: 'readArrays',
  source: 'Linux 6.1 fs/btrfs/sysfs.c',
  good: {
    tree: btrfs({
      exclusive_operation: 'none',
      'allocation/data/raid1/total_bytes': '1',
      'allocation/metadata/raid1/total_bytes': '1',
      'devinfo/1/error_stats':
        'write_errs 0\nread_errs 3\nflush_errs 0\ncorruption_errs 12\ngeneration_errs 1\n',
      'devinfo/1/missing': '0',
    }),
    rows: [
      ['array-members-missing', 0],
      ['array-may-still-fail', 1],
      ['array-work', 0],
      ['array-member-state device 1', 0],
      ['array-write-errors device 1', 0],
      ['array-read-errors device 1', 3],
      ['array-flush-errors device 1', 0],
      ['array-damaged-blocks device 1', 12],
      ['array-stale-blocks device 1', 1],
    ],
  },
  absent: {
    tree: btrfs({}),
    rows: [
      ['array-members-missing', 'no-figure'],
      ['array-may-still-fail', 'no-figure'],
      ['array-work', 'no-figure'],
    ],
  },
  absurd: {
    tree: btrfs({
      exclusive_operation: 'juggle',
      'allocation/data/raid99/total_bytes': '1',
      'allocation/metadata/raid1/total_bytes': '1',
      'devinfo/1/error_stats': 'write_errs -1\nread_errs 18446744073709551615\nflush_errs 0\ncorr',
      'devinfo/1/missing': '2',
    }),
    rows: [
      ['array-members-missing', 'no-figure'],
      ['array-may-still-fail', 'no-figure'],
      ['array-work', 'no-figure'],
      ...noCounters,
    ],
  },
};

function pool(files: Entries): Entries {
  return { '/sys/block/': '', ...below('/proc/spl/kstat/zfs/vault', files) };
}

export const zfsPools: RecordedSubject = {
  reader: 'readArrays',
  source: 'OpenZFS commit 855651aa (the state file), from memory',
  good: { tree: pool({ state: 'DEGRADED\n' }), rows: [['array-state', 1]] },
  absent: { tree: pool({ state: '' }), rows: [['array-state', 'no-figure']] },
  absurd: { tree: pool({ state: 'HAPPY \u001b[2J' }), rows: [['array-state', 'no-figure']] },
};
