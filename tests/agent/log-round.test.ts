import { afterEach, beforeEach, expect, test } from 'vitest';
import { answered, type Box, missing } from '../../src/agent/box/box.js';
import type { LogRecord } from '../../src/agent/box/layouts/kernel-log.js';
import { LogRound } from '../../src/agent/log-round.js';
import { takeInventory } from '../../src/agent/probes/inventory.js';
import { boxOfTree, treeOf } from '../box/kernel-tree.js';
import { at, newYear, type TemporaryStore, temporaryStore } from './store/temporary-store.js';

let room: TemporaryStore;

beforeEach(() => {
  room = temporaryStore();
});
afterEach(() => room.remove());

const disk = '/sys/devices/pci0000:00/0000:00:1f.2/ata3/host2/target2:0:0/2:0:0:0/block/sdb';

/** A box with one disk of an invented maker and a log that a test writes. */
function boxWithLog(records: readonly LogRecord[]): Box {
  const tree = treeOf({
    '/sys/block/sdb ->': disk,
    [`${disk}/dev`]: '8:16',
    [`${disk}/size`]: '15628053168',
    [`${disk}/removable`]: '0',
    [`${disk}/wwid`]: 'naa.5f0c2d000052ef48',
    [`${disk}/device ->`]: disk.slice(0, disk.indexOf('/block/')),
  });
  return {
    ...boxOfTree(tree),
    kernelLog: async (after) => answered(records.filter(({ sequence }) => sequence > after)),
  };
}

const medium = 'critical medium error, dev sdb, sector 4096 op 0x0:(READ) flags 0x0';

function record(sequence: number, text = medium): LogRecord {
  return { sequence, monoMs: 1000 + sequence, level: 3, text };
}

async function readAll(boot: number, records: readonly LogRecord[]): Promise<void> {
  const box = boxWithLog(records);
  const inventory = await takeInventory(box);
  for (const { kind, identityKey, id, model } of inventory.drives) {
    room.store.keepPart(
      { kind, identityKey, name: id, label: model, details: {} },
      at(boot, 60_000),
    );
  }
  const round = new LogRound({ box, store: room.store, boot });
  await round.learn(inventory);
  await round.read(at(boot, 60_000));
  await round.read(at(boot, 60_000));
}

test('each record becomes an event once, however often the agent starts anew', async () => {
  const boot = room.store.beginBoot('boot-1', newYear);
  await readAll(boot, [record(0), record(1, 'Linux version 6.1.0')]);
  await readAll(boot, [record(0), record(1, 'Linux version 6.1.0'), record(2)]);
  room.reopen();
  await readAll(boot, [record(2), record(3)]);
  const events = room.store.events(null, 100);
  expect(events.map(({ at: when, kind, partId }) => [when.monoMs, kind, partId])).toEqual([
    [1003, 'medium-error', 1],
    [1002, 'medium-error', 1],
    [1000, 'medium-error', 1],
  ]);
  expect(events[0]).toMatchObject({
    at: { boot, monoMs: 1003, wallMs: newYear + 1003 },
    positionBytes: 2_097_152,
    record: medium,
  });
  expect(room.store.logReadTo(boot)).toBe(3);
});

test('a new boot counts its log from 0 again', async () => {
  await readAll(room.store.beginBoot('boot-1', newYear), [record(0)]);
  const boot = room.store.beginBoot('boot-2', newYear + 3_600_000);
  expect(room.store.logReadTo(boot)).toBe(-1);
  await readAll(boot, [record(0)]);
  expect(room.store.events(1, 100).map(({ at: when }) => when.boot)).toEqual([2, 1]);
  expect(room.store.events(99, 100)).toEqual([]);
});

test('a log that may not be read is told, and nothing is noted as read', async () => {
  const boot = room.store.beginBoot('boot-1', newYear);
  const round = new LogRound({
    box: { ...boxWithLog([]), kernelLog: async () => missing('not-permitted', 'not allowed') },
    store: room.store,
    boot,
  });
  await round.read(at(boot, 1));
  expect(round.why).toBe('The kernel’s log cannot be read: not allowed');
  expect(room.store.logReadTo(boot)).toBe(-1);
});

test('lines that were overwritten between two readings are told, with how many', async () => {
  const boot = room.store.beginBoot('boot-1', newYear);
  await readAll(boot, [record(0), record(1)]);
  await readAll(boot, [record(7, 'Linux version 6.1.0'), record(9)]);
  const gaps = room.store.events(null, 100).filter(({ kind }) => kind === 'log-gap');
  expect(gaps.map(({ text, partId }) => [text, partId])).toEqual([
    ['1 line of the kernel’s log was overwritten before they could be read', null],
    ['5 lines of the kernel’s log were overwritten before they could be read', null],
  ]);
});

test('who asks while the log is being read waits for that reading', async () => {
  const boot = room.store.beginBoot('boot-1', newYear);
  let readings = 0;
  const box: Box = {
    ...boxWithLog([]),
    kernelLog: async () => {
      readings += 1;
      return answered([record(readings)]);
    },
  };
  const round = new LogRound({ box, store: room.store, boot });
  await Promise.all([round.read(at(boot, 1)), round.read(at(boot, 1))]);
  expect(readings).toBe(1);
  await round.read(at(boot, 2));
  expect(readings).toBe(2);
});

test('a drive that was ready before the agent started anew may be reset afterwards', async () => {
  const boot = room.store.beginBoot('boot-1', newYear);
  const reset = 'sd 2:0:0:0: Power-on or device reset occurred';
  await readAll(boot, [record(0, reset), record(1, 'sd 2:0:0:0: [sdb] Attached SCSI disk')]);
  expect(room.store.events(null, 100)).toEqual([]);
  await readAll(boot, [record(2, reset)]);
  expect(room.store.events(null, 100).map(({ kind, partId }) => [kind, partId])).toEqual([
    ['drive-reset', 1],
  ]);
});

/** Two seconds after the box woke up from an hour of sleep, by the log's clock that stood still. */
test('what happened after a suspend stands where it happened', async () => {
  const boot = room.store.beginBoot('boot-1', newYear);
  const records: LogRecord[] = [record(0, 'Linux version 6.1.0')];
  const clock = {
    bootId: 'boot-1',
    bootMs: () => now.bootMs,
    wallMs: () => newYear,
    sleep: async () => undefined,
    awakeMs: () => now.awakeMs,
  };
  const now = { bootMs: 60_000, awakeMs: 60_000 };
  const box = boxWithLog(records);
  const round = new LogRound({ box, store: room.store, boot, clock });
  await round.learn(await takeInventory(box));
  await round.read(at(boot, now.bootMs));
  records.push({ ...record(1, 'PM: suspend exit'), monoMs: 70_000 });
  records.push({ ...record(2), monoMs: 72_000 });
  Object.assign(now, { bootMs: 3_690_000, awakeMs: 90_000 });
  await round.read(at(boot, now.bootMs));
  expect(room.store.events(null, 100).map(({ at: when }) => when.monoMs)).toEqual([3_672_000]);
});
