import { expect, test } from 'vitest';
import { ArrayWatch } from '../../src/agent/array-watch.js';
import { takeInventory } from '../../src/agent/probes/inventory.js';
import type { Inventory } from '../../src/checks/part.js';
import { boxOfTree, treeOf } from '../box/kernel-tree.js';

/** Files as in Linux Documentation/admin-guide/md.rst, with what changes held here. */
function machine() {
  const now = { state: 'in_sync', degraded: '0', action: 'idle', completed: 'none' };
  const folder = '/sys/devices/virtual/block/md127';
  const tree = treeOf({
    '/sys/block/md127 ->': folder,
    [`${folder}/md/level`]: 'raid1',
    [`${folder}/md/raid_disks`]: '2',
    [`${folder}/md/array_state`]: 'clean',
    [`${folder}/md/degraded`]: () => now.degraded,
    [`${folder}/md/sync_action`]: () => now.action,
    [`${folder}/md/sync_completed`]: () => now.completed,
    [`${folder}/md/sync_speed`]: '1024',
    [`${folder}/md/dev-sdb/state`]: () => now.state,
    [`${folder}/md/dev-sdb/slot`]: '0',
  });
  return { now, box: boxOfTree(tree) };
}

test('a change is read at once and once more, then nothing until the work nears its end', async () => {
  const { now, box } = machine();
  const inventory: Inventory = await takeInventory(box);
  const watch = new ArrayWatch(box);
  const looks: unknown[] = [];
  const look = async () => looks.push((await watch.look(inventory)).read);
  await look();
  await look();
  await look();
  Object.assign(now, { state: 'faulty', degraded: '1' });
  await look();
  await look();
  await look();
  // 8 GiB at 1 MiB/s: 8192 s left, later 512 s.
  Object.assign(now, { action: 'recover', completed: '0 / 16777216' });
  await look();
  await look();
  await look();
  now.completed = '15728640 / 16777216';
  await look();
  expect(looks).toEqual([true, true, false, true, true, false, true, true, false, true]);
});

test('a box without arrays makes nothing due', async () => {
  const box = boxOfTree(treeOf({ '/sys/block/': '' }));
  const news = await new ArrayWatch(box).look(await takeInventory(box));
  expect(news).toEqual({ survey: false, read: false });
});

test('an array that came since the inventory is surveyed for once', async () => {
  const { box } = machine();
  const inventory = { ...(await takeInventory(box)), arrays: [] };
  const watch = new ArrayWatch(box);
  expect((await watch.look(inventory)).survey).toBe(true);
  expect((await watch.look(inventory)).survey).toBe(false);
});
