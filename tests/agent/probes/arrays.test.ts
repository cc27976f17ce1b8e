import { describe, expect, test } from 'vitest';
import { readArrays } from '../../../src/agent/probes/arrays.js';
import { takeInventory } from '../../../src/agent/probes/inventory.js';
import {
  copiesOfLayout,
  parseBadSectors,
  parseDeviceErrors,
  parsePoolState,
  parseSyncPosition,
} from '../../../src/agent/probes/parse-arrays.js';
import { arraysThatNeedRest } from '../../../src/agent/speed/array-rest.js';
import { boxOfTree, treeOf } from '../../box/kernel-tree.js';
import { disk, type Entries, md } from '../../box/md-tree.js';

const rebuilding = md({
  level: 'raid1',
  raid_disks: '2',
  layout: '0',
  array_state: 'active',
  degraded: '1',
  sync_action: 'recover',
  sync_completed: '3907029168 / 15628053168',
  sync_speed: '150000',
  mismatch_cnt: '0',
  last_sync_action: 'check',
  'dev-sdb/state': 'in_sync',
  'dev-sdb/slot': '0',
  'dev-sdb/errors': '16',
  'dev-sdb/bad_blocks': '2048 8\n4096 16\n',
  'dev-sdb/block ->': '/sys/block/sdb',
  'dev-sdc/state': 'spare',
  'dev-sdc/slot': '1',
  'dev-sdc/errors': '0',
  'dev-sdc/bad_blocks': '',
  'dev-sdc/block ->': '/sys/block/sdc',
});

async function shown(entries: Entries) {
  const box = boxOfTree(treeOf(entries));
  const inventory = await takeInventory(box);
  const [part] = await readArrays(box, inventory);
  const rows = part?.readings.map(({ metric, place, value, text }) => [
    place === undefined ? metric : `${metric} ${place}`,
    value,
    ...(text === undefined ? [] : [text]),
  ]);
  return { arrays: inventory.arrays ?? [], emptyWhy: inventory.emptyWhy, rows };
}

describe('an md array', () => {
  test('has a lasting name and its members by serial', async () => {
    const { arrays } = await shown(rebuilding);
    expect(arrays).toEqual([
      {
        kind: 'array',
        id: 'array-tapes',
        identityKey: 'md:3aaa012229827cfa5331ad66ca767371',
        label: 'Array "tapes", mirror',
        family: 'md',
        level: 'raid1',
        folder: '/sys/block/md127',
        members: ['TVN4410A', 'TVN4410B'],
      },
    ]);
  });

  test('tells what is missing and how far the rebuilding is', async () => {
    const { rows } = await shown(rebuilding);
    // (15 628 053 168 - 3 907 029 168) * 512 / (150 000 * 1024) = 39 070.08 s.
    expect(rows).toEqual([
      ['array-protection', 1, 'Mirror of two, any one may fail'],
      ['array-state', 0, 'running'],
      ['array-members-missing', 1],
      ['array-may-still-fail', 0],
      ['array-work', 2, 'rebuilding a member'],
      ['array-work-done', expect.closeTo(25, 1)],
      ['array-work-rate', 153_600_000],
      ['array-work-left', 39_070],
      ['array-mismatches', 0],
      ['array-last-work', 4, 'comparing its copies'],
      ['array-member-state TVN4410A', 0, 'in step'],
      ['array-member-errors TVN4410A', 16],
      ['array-member-bad-sectors TVN4410A', 24],
      ['array-member-state TVN4410B', 1, 'being rebuilt'],
      ['array-member-errors TVN4410B', 0],
      ['array-member-bad-sectors TVN4410B', 0],
    ]);
  });

  test('of level 0 has no copies to tell of, which is no zero', async () => {
    const { rows } = await shown(md({ level: 'raid0', raid_disks: '2', array_state: 'clean' }));
    expect(rows).toEqual([
      ['array-protection', 0, 'RAID 0 of 2 members, none may fail'],
      ['array-state', 0, 'running'],
      ['array-members-missing', null],
      ['array-may-still-fail', 0],
      ['array-work', 0, 'nothing'],
      ['array-mismatches', null],
    ]);
  });

  test('with files cut short has no figures', async () => {
    const { rows } = await shown(
      md({
        level: 'raid6',
        raid_disks: '',
        array_state: 'cle',
        degraded: '',
        sync_action: 'rec',
        sync_completed: '39070 / ',
        mismatch_cnt: '-',
      }),
    );
    expect(rows?.map(([metric, value]) => [metric, value])).toEqual([
      ['array-protection', null],
      ['array-state', null],
      ['array-members-missing', null],
      ['array-may-still-fail', null],
      ['array-work', null],
      ['array-mismatches', null],
    ]);
  });
});

test('a box without arrays says so', async () => {
  const { arrays, emptyWhy } = await shown({ ...disk('b', 1, 'TVN4410A') });
  expect(arrays).toEqual([]);
  expect(emptyWhy.arrays).toBe(
    'The kernel runs no array: no md array, no mounted btrfs file system and no imported ZFS pool',
  );
});

const fileSystem = '/sys/fs/btrfs/0d5f2c7e-98a1-4c60-9f2b-6b1d8f0c3a11';
const errorStats =
  'write_errs 0\nread_errs 3\nflush_errs 0\ncorruption_errs 12\ngeneration_errs 0\n';

const btrfs: Entries = {
  ...disk('b', 1, 'TVN4410A'),
  ...disk('c', 2, 'TVN4410B'),
  [`${fileSystem}/label`]: 'tapes',
  [`${fileSystem}/exclusive_operation`]: 'device replace',
  [`${fileSystem}/devices/sdb ->`]: '/sys/block/sdb',
  [`${fileSystem}/devices/sdc ->`]: '/sys/block/sdc',
  [`${fileSystem}/allocation/data/raid1/total_bytes`]: '1',
  [`${fileSystem}/allocation/metadata/raid1c3/total_bytes`]: '1',
  [`${fileSystem}/devinfo/1/error_stats`]: errorStats,
  [`${fileSystem}/devinfo/1/missing`]: '0',
  [`${fileSystem}/devinfo/2/error_stats`]: 'invalid',
  [`${fileSystem}/devinfo/2/missing`]: '1',
};

test('a btrfs file system tells each device’s errors and which is missing', async () => {
  const { arrays, rows } = await shown(btrfs);
  expect(arrays[0]).toMatchObject({ id: 'pool-tapes', members: ['TVN4410A', 'TVN4410B'] });
  expect(rows).toEqual([
    [
      'array-protection',
      1,
      'Data on two drives (raid1), metadata on three drives (raid1c3), any one may fail',
    ],
    ['array-members-missing', 1],
    ['array-may-still-fail', 0],
    ['array-work', 2, 'device replace'],
    ['array-last-check', null],
    ['array-member-state device 1', 0, 'there'],
    ['array-write-errors device 1', 0],
    ['array-read-errors device 1', 3],
    ['array-flush-errors device 1', 0],
    ['array-damaged-blocks device 1', 12],
    ['array-stale-blocks device 1', 0],
    ['array-member-state device 2', 3, 'missing'],
    ['array-write-errors device 2', null],
    ['array-read-errors device 2', null],
    ['array-flush-errors device 2', null],
    ['array-damaged-blocks device 2', null],
    ['array-stale-blocks device 2', null],
  ]);
});

test.each([
  ['ONLINE', 0],
  ['DEGRADED', 1],
  ['SUSPENDED', 6],
  ['SOMETHING', null],
])('a ZFS pool in state %s', async (state, code) => {
  const { arrays, rows } = await shown({
    '/sys/block/': '',
    '/proc/spl/kstat/zfs/vault/state': `${state}\n`,
    '/proc/spl/kstat/zfs/dbgmsg': 'x',
  });
  expect(arrays.map(({ id }) => id)).toEqual(['pool-vault']);
  expect(rows?.map(([metric, value]) => [metric, value])).toEqual([
    ['array-state', code],
    ['array-protection', null],
    ['array-members-missing', null],
    ['array-may-still-fail', null],
    ['array-work', null],
    ['array-last-check', null],
    ['array-read-errors', null],
    ['array-write-errors', null],
    ['array-damaged-blocks', null],
  ]);
});

test('pools that are degraded or at work need rest, sound ones do not', async () => {
  const restOf = (entries: Entries) => arraysThatNeedRest(boxOfTree(treeOf(entries)));
  expect(await restOf(btrfs)).toEqual([
    'Btrfs file system "tapes" is degraded',
    'Btrfs file system "tapes" is busy: device replace',
  ]);
  const mdstat = 'md127 : active raid1 sdc[2] sdb[0]\n      7814026432 blocks [2/1] [U_]\n';
  expect(await restOf({ ...rebuilding, '/proc/mdstat': mdstat })).toEqual([
    'Array "tapes", mirror is degraded',
  ]);
  expect(await restOf({ '/proc/spl/kstat/zfs/vault/state': 'DEGRADED' })).toEqual([
    'ZFS pool "vault" is running with members missing or faulty',
  ]);
  expect(await restOf({ '/proc/spl/kstat/zfs/vault/state': 'ONLINE' })).toEqual([]);
});

test.each([
  // [level, members, layout, degraded, state] and [protection, may still fail, state].
  [
    ['raid6', '5', '2', '1', 'clean'],
    ['RAID 6 of 5 members, any two may fail', 1, 'running'],
  ],
  [
    ['raid5', '3', '2', '1', 'active'],
    ['RAID 5 of 3 members, any one may fail', 0, 'running'],
  ],
  [
    ['raid5', '3', '2', '0', 'readonly'],
    ['RAID 5 of 3 members, any one may fail', 1, 'read-only'],
  ],
  [
    ['raid1', '3', '0', '0', 'inactive'],
    ['Mirror of three, any two may fail', 2, 'not started: requests fail'],
  ],
  [
    ['raid10', '4', '258', '0', 'clean'],
    ['RAID 10 of 4 members, any one may fail', 1, 'running'],
  ],
  [
    ['raid10', '4', '0', '0', 'clean'],
    [undefined, null, 'running'],
  ],
  [
    ['linear', '2', '0', '', 'clean'],
    ['Members one after the other of 2 members, none may fail', 0, 'running'],
  ],
  [
    ['raid99', '4', '0', '0', 'clean'],
    [undefined, null, 'running'],
  ],
  [
    ['raid6', '-5', '2', '0', 'clean'],
    [undefined, null, 'running'],
  ],
  [
    ['raid6', '5', '2', '900000000000000000', 'clean'],
    ['RAID 6 of 5 members, any two may fail', null, 'running'],
  ],
])('%s', async ([level, members, layout, degraded, state], [protection, may, words]) => {
  const files = { level, raid_disks: members, layout, degraded, array_state: state };
  const { rows = [] } = await shown(md(files as Entries));
  const row = (metric: string) => rows.find(([name]) => name === metric);
  expect(row('array-protection')?.[2]).toBe(protection);
  expect(row('array-may-still-fail')?.[1]).toBe(may);
  expect(row('array-state')?.[2]).toBe(words);
});

test.each([
  [{ state: 'in_sync', slot: '0' }, [0, 'in step']],
  [{ state: 'in_sync,write_mostly', slot: '0' }, [0, 'in step, read only when the others cannot']],
  [{ state: 'faulty', slot: 'none' }, [2, 'thrown out as faulty']],
  [
    { state: 'faulty,blocked', slot: '0' },
    [2, 'thrown out as faulty, held until a failure is noted'],
  ],
  [{ state: 'spare', slot: 'none' }, [4, 'spare']],
  [{ state: 'spare', slot: '1' }, [1, 'waits to be rebuilt']],
  [{ state: 'journal', slot: 'journal' }, [4, 'journal']],
  [{ state: '', slot: '1' }, [null]],
])('a member %o', async ({ state, slot }, expected) => {
  const { rows = [] } = await shown(
    md({
      level: 'raid1',
      sync_action: 'idle',
      'dev-sdb/state': state,
      'dev-sdb/slot': slot,
      'dev-sdb/block ->': '/sys/block/sdb',
    }),
  );
  const row = rows.find(([name]) => name === 'array-member-state TVN4410A');
  expect(row?.slice(1)).toEqual(expected);
});

test('members whose drives are not shown are told apart by number', async () => {
  const { rows = [] } = await shown(
    md({
      level: 'raid6',
      'dev-sdx/state': 'faulty',
      'dev-sdx/slot': 'none',
      'dev-sdy/state': 'faulty',
      'dev-sdy/slot': 'none',
      'dev-sdz/state': 'in_sync',
      'dev-sdz/slot': '2',
    }),
  );
  expect(rows.flatMap(([name]) => (/member-state/.test(String(name)) ? [name] : []))).toEqual([
    'array-member-state member 2',
    'array-member-state member without a place',
    'array-member-state member without a place, number 2',
  ]);
});

test('texts of the kernel are read strictly', () => {
  expect(parseSyncPosition('10 / 40')).toEqual({ doneSectors: 10, totalSectors: 40 });
  for (const text of ['none', 'delayed', '40 / 10', '0 / 0', '10 /', null]) {
    expect(parseSyncPosition(text)).toBe(null);
  }
  // raid10: 0x102 is two near copies and one far, 0x201 the reverse.
  expect([copiesOfLayout(0x102), copiesOfLayout(0x201), copiesOfLayout(null)]).toEqual([
    2,
    2,
    null,
  ]);
  expect(copiesOfLayout(0)).toBe(null);
  expect(parseDeviceErrors('write_errs 0\nread_errs 3\n')).toBe(null);
  expect(parseDeviceErrors(errorStats)).toEqual({
    writes: 0,
    reads: 3,
    flushes: 0,
    damagedBlocks: 12,
    staleBlocks: 0,
  });
  expect(parsePoolState('online')).toBe(null);
  expect(parseBadSectors('')).toEqual({ sectors: 0, isCut: false });
  expect(parseBadSectors('2048 8\n4096 16')).toEqual({ sectors: 24, isCut: false });
  expect(parseBadSectors('2048 8\n4096')).toBe(null);
  // 300 lines of 14 bytes are more than a page of 4096 bytes: the kernel cut the list.
  const cut = '1234567 12345\n'.repeat(300).slice(0, 4095);
  expect(parseBadSectors(cut)).toEqual({ sectors: 292 * 12_345, isCut: true });
});
