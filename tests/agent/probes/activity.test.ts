import { describe, expect, test } from 'vitest';
import { activityReadings, hadRequests, readActivity } from '../../../src/agent/probes/activity.js';
import { parseDiskStat, wrappingDifference } from '../../../src/agent/probes/disk-counters.js';
import { takeInventory } from '../../../src/agent/probes/inventory.js';
import { boxOfTree, treeOf } from '../../box/kernel-tree.js';

/** Fields of /sys/block/X/stat: Linux Documentation/admin-guide/iostats.rst and block/stat.rst. */
const seventeen =
  '   50623    10888  4675794    25692    11683    22744  3975744    11625        0    12028    39203     4255       67   123112      946     1545      937';

test('a line of 17 fields gives each counter from its own place', () => {
  expect(parseDiskStat(seventeen)).toEqual({
    reads: 50_623,
    sectorsRead: 4_675_794,
    writes: 11_683,
    sectorsWritten: 3_975_744,
    underWay: 0,
    busyMs: 12_028,
    discards: 4_255,
    flushes: 1_545,
    diskSequence: null,
  });
});

test('an older kernel’s line of 11 fields is read, shorter and damaged ones are not', () => {
  expect(parseDiskStat('1 2 3 4 5 6 7 8 9 10 11')).toMatchObject({
    reads: 1,
    sectorsRead: 3,
    writes: 5,
    sectorsWritten: 7,
    busyMs: 10,
    flushes: 0,
  });
  for (const text of ['', '1 2 3', '1 2 3 4 5 6 7 8 9 10 x', '1 2 3 4 5 6 7 8 9 10 -4']) {
    expect(parseDiskStat(text), text).toBeNull();
  }
});

test('a millisecond counter that wrapped at 32 bits goes on counting', () => {
  // 4 294 967 296 - 4 294 967 000 = 296, and 204 after the wrap.
  expect(wrappingDifference(4_294_967_000, 204)).toBe(500);
  expect(wrappingDifference(1_000, 1_500)).toBe(500);
});

function stat(fields: { reads?: number; read?: number; written?: number; busy?: number }): string {
  const { reads = 0, read = 0, written = 0, busy = 0 } = fields;
  return `${reads} 0 ${read} 0 0 0 ${written} 0 0 ${busy} 0 0 0 0 0 0 0`;
}

async function look(text: string, sequence = '5') {
  const path = '/sys/devices/pci0000:00/0000:00:02.0/virtio1';
  const box = boxOfTree(
    treeOf({
      '/sys/block/vda ->': `${path}/block/vda`,
      [`${path}/block/vda/size`]: '1000',
      [`${path}/block/vda/diskseq`]: sequence,
      [`${path}/block/vda/stat`]: text,
    }),
  );
  return readActivity(box, await takeInventory(box));
}

const key = 'virtual:0000:00:02.0';

describe('between two looks', () => {
  test('sectors of 512 bytes and busy milliseconds become rates', async () => {
    const before = await look(stat({ reads: 100, read: 2_000, written: 500, busy: 100 }));
    const after = await look(stat({ reads: 180, read: 42_000, written: 20_500, busy: 2_600 }));
    // 40 000 × 512 ÷ 10, 20 000 × 512 ÷ 10, and 2.5 s of 10 s.
    expect(activityReadings(before, after, 10)).toMatchObject([
      {
        identityKey: key,
        readings: [
          { metric: 'read-rate', value: 2_048_000, unit: 'bytes-per-second' },
          { metric: 'write-rate', value: 1_024_000 },
          { metric: 'busy-share', value: 25, unit: 'percent' },
        ],
      },
    ]);
    expect(hadRequests(before, after, key)).toBe(true);
  });

  test('an idle disk has rates of 0, which are figures', async () => {
    const before = await look(stat({ reads: 100, read: 2_000 }));
    const [part] = activityReadings(before, before, 10);
    expect(part?.readings.map(({ value }) => value)).toEqual([0, 0, 0]);
    expect(hadRequests(before, before, key)).toBe(false);
  });

  test.each([
    ['counters that fell', stat({ reads: 3 }), '5'],
    ['another disk behind the name', stat({ reads: 500 }), '6'],
  ])('%s give no figure', async (_, text, sequence) => {
    const before = await look(stat({ reads: 100, read: 2_000 }));
    const after = await look(text, sequence);
    const [part] = activityReadings(before, after, 10);
    expect(part?.readings.map(({ state }) => state)).toEqual(Array(3).fill('no-figure'));
    expect(part?.readings[0]?.why).toBe('The counters started again between the two looks');
    expect(hadRequests(before, after, key)).toBe(false);
  });

  test('counters that cannot be read, and no time between, give no figure', async () => {
    const good = await look(stat({ reads: 1 }));
    const bad = await look('nonsense');
    for (const [before, after, seconds] of [
      [good, bad, 10],
      [bad, good, 10],
      [new Map(), good, 10],
      [good, good, 0],
    ] as const) {
      const [part] = activityReadings(before, after, seconds);
      expect(part?.readings.every(({ state }) => state === 'no-figure')).toBe(true);
    }
  });
});
