import { expect, test } from 'vitest';
import {
  arraysThatNeedRest,
  lacksRest,
  restlessPool,
} from '../../../src/agent/speed/array-rest.js';
import type { ArraySeen } from '../../../src/checks/part.js';
import { measured, type Reading } from '../../../src/checks/reading.js';
import { boxOfTree, type FileSource, treeOf } from '../../box/kernel-tree.js';

const mdstat = `Personalities : [raid1]
md0 : active raid1 sdb[1] sda[0]
      976508928 blocks super 1.2 [2/1] [U_]

md1 : active raid1 sdd[1] sdc[0]
      976508928 blocks super 1.2 [2/2] [UU]

unused devices: <none>
`;

const array = (name: string, members: readonly string[]): ArraySeen => ({
  kind: 'array',
  id: `array-${name}`,
  identityKey: `md:${name}`,
  label: `Array "${name}"`,
  family: 'md',
  level: 'raid1',
  folder: `/sys/block/${name}`,
  members,
});
const arrays = [array('md0', ['LK-1', 'LK-2']), array('md1', ['LK-3', 'LK-4'])];

function lacks(id: string, text: FileSource | null): Promise<boolean> {
  const tree = treeOf(text === null ? {} : { '/proc/mdstat': text });
  return lacksRest(boxOfTree(tree), { id, arrays });
}

test('members of an array that needs rest are spared, members of its neighbour are not', async () => {
  expect(await lacks('LK-1', mdstat)).toBe(true);
  expect(await lacks('LK-3', mdstat)).toBe(false);
  expect(await lacks('LK-9', mdstat)).toBe(false);
});

test('where the kernel does not tell how its arrays are, all are spared', async () => {
  expect(await lacks('LK-3', { fails: 'not-permitted' })).toBe(true);
  expect(await lacks('LK-9', { fails: 'not-permitted' })).toBe(false);
  expect(await lacks('LK-3', null)).toBe(false);
});

test('one array that needs rest, or that cannot be told, stops heavy work in the whole box', async () => {
  const needing = (text: FileSource | null) =>
    arraysThatNeedRest(boxOfTree(treeOf(text === null ? {} : { '/proc/mdstat': text })));
  expect(await needing(mdstat)).toEqual(['Array md0 is degraded']);
  expect(await needing({ fails: 'not-permitted' })).toEqual([
    'Whether an array is degraded cannot be told: Reading /proc/mdstat failed (not-permitted)',
  ]);
  expect(await needing(null)).toEqual([]);
});

test('a pool needs rest when drives are missing, it works on the whole of itself, or is not in order', () => {
  const reading = (metric: string, value: number, text = ''): Reading => ({
    ...measured({ metric, unit: 'count', source: 'test record' }, value),
    text,
  });
  const why = (...readings: readonly Reading[]) =>
    restlessPool('Pool "one"', { identityKey: 'zfs:one', readings });
  expect(why(reading('array-members-missing', 0), reading('array-work', 0))).toEqual([]);
  expect(why(reading('array-members-missing', 1))).toEqual(['Pool "one" is degraded']);
  expect(why(reading('array-work', 1, 'scrub'))).toEqual(['Pool "one" is busy: scrub']);
  expect(why(reading('array-state', 2, 'suspended'))).toEqual(['Pool "one" is suspended']);
});
