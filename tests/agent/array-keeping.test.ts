import { afterEach, beforeEach, expect, test } from 'vitest';
import { judgeAll } from '../../src/agent/judging.js';
import { Sampler } from '../../src/agent/sampling.js';
import { buildStatusReport } from '../../src/agent/status-report.js';
import { boxOfTree, treeOf } from '../box/kernel-tree.js';
import { md } from '../box/md-tree.js';
import { type TemporaryStore, temporaryStore } from './store/temporary-store.js';

const minute = 60_000;

/** What the kernel tells of a mirror, to be changed while it runs. */
const told = { degraded: '0', action: 'idle', completed: 'none', second: 'in_sync', slot: '1' };
const start = { ...told };

const tree = treeOf(
  md({
    level: 'raid1',
    raid_disks: '2',
    layout: '0',
    array_state: 'clean',
    mismatch_cnt: '0',
    sync_speed: '102400',
    degraded: () => told.degraded,
    sync_action: () => told.action,
    sync_completed: () => told.completed,
    'dev-sdb/state': 'in_sync',
    'dev-sdb/slot': '0',
    'dev-sdb/block ->': '/sys/block/sdb',
    'dev-sdc/state': () => told.second,
    'dev-sdc/slot': () => told.slot,
    'dev-sdc/block ->': '/sys/block/sdc',
  }),
);

let room: TemporaryStore;
beforeEach(() => {
  Object.assign(told, start);
  room = temporaryStore();
});
afterEach(() => room.remove());

async function watched() {
  const { store, clock } = room;
  const boot = store.beginBoot(clock.bootId, clock.wallMs());
  const sampler = new Sampler({ box: boxOfTree(tree), clock, store, boot, model: null });
  await sampler.survey();
  const knowledge = { model: null, classes: [] };
  return async () => {
    clock.mono += minute;
    clock.wall += minute;
    await sampler.surroundings();
    judgeAll({ ...knowledge, store }, { boot, monoMs: clock.mono, wallMs: clock.wall });
    const bayOf = (serial: string) => (serial === 'TVN4410B' ? '2' : null);
    const report = buildStatusReport(store, null, { nowWallMs: clock.wall, bayOf });
    const [array] = report.groups.flatMap(({ kind, parts }) => (kind === 'array' ? parts : []));
    return {
      sentences: array?.sentences ?? [],
      findings: report.findings.map(({ code, sentence }) => [code, sentence]),
    };
  };
}

test('a mirror that loses a member and is rebuilt, from the kernel’s files to the sentences', async () => {
  const look = await watched();
  const whole = await look();
  expect(whole.sentences.slice(0, 3)).toEqual([
    'Mirror of two, any one may fail.',
    'Running.',
    'Whole, no member missing.',
  ]);
  Object.assign(told, { degraded: '1', second: 'faulty', slot: 'none' });
  expect((await look()).findings).toEqual([]);
  const degraded = await look();
  expect(degraded.sentences).toContain(
    'Degraded, one missing (Bay 2 · 410B), no drive to spare now, the next failure loses data.',
  );
  expect(degraded.findings).toEqual([
    [
      'array-degraded',
      'Made as mirror of two, any one may fail; missing: 1; Drive … 410B: thrown out; no drive to spare now, the next failure loses data.',
    ],
  ]);
  // 25 % of 8 GiB done at 100 MiB/s: 6 GiB are left for 61 s.
  const rebuilding = { action: 'recover', completed: '4194304 / 16777216', second: 'spare' };
  Object.assign(told, { ...rebuilding, slot: '1' });
  expect((await look()).sentences).toContain(
    'Rebuilding a member, 25 % done, about 1 min 1 s left.',
  );
  Object.assign(told, start);
  await look();
  const again = await look();
  expect(again.sentences).toContain('Whole, no member missing.');
  expect(again.sentences.join(' ')).not.toMatch(/left|rebuil/i);
  expect(again.findings).toEqual([]);
});
