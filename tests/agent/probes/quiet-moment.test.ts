import { describe, expect, test } from 'vitest';
import { type AtaCommand, answered, type DriveAddress } from '../../../src/agent/box/box.js';
import { checkPowerMode } from '../../../src/agent/box/layouts/commands-ata.js';
import {
  isAskedUnqueued,
  mayBeMember,
  politeBox,
  quietMomentComes,
} from '../../../src/agent/probes/quiet-moment.js';
import type { ArraySeen } from '../../../src/checks/part.js';
import { boxOfTree, treeOf } from '../../box/kernel-tree.js';
import { makeSimClock } from '../../box/sim-clock.js';

const kernelName = 'sdb';
const address: DriveAddress = { devicePath: '/dev/sdb', deviceNumber: '8:16', reachedBy: 'ata' };

/** Field 9 is the requests under way, field 1 the reads that ended (Linux iostats.rst). */
function statLine({ ended, underWay }: { ended: number; underWay: number }): string {
  return `${ended} 0 ${ended * 8} 5 0 0 0 0 ${underWay} 5 5 0 0 0 0 0 0`;
}

/** A disk whose counters are asked for at each look, with a note of the commands that it got. */
function disk(look: (bootMs: number) => { ended: number; underWay: number }) {
  const clock = makeSimClock(0);
  const tree = treeOf({ '/sys/block/sdb/stat': () => statLine(look(clock.bootMs())) });
  const sent: string[] = [];
  const box = {
    ...boxOfTree(tree),
    ata: async (_: DriveAddress, { name }: AtaCommand) => {
      sent.push(name);
      return answered({ data: new Uint8Array(0), registers: null });
    },
  };
  return { clock, box, sent, question: { clock, kernelName } };
}

describe('a quiet moment', () => {
  test('is there when nothing is under way and nothing ended in 200 ms', async () => {
    const { box, clock, question } = disk(() => ({ ended: 7, underWay: 0 }));
    expect(await quietMomentComes(box, question)).toBe(true);
    expect(clock.bootMs()).toBe(200);
  });

  test('is not there when requests end all the time, though none is seen under way', async () => {
    const { box, clock, question } = disk((ms) => ({ ended: ms, underWay: 0 }));
    expect(await quietMomentComes(box, question)).toBe(false);
    expect(clock.bootMs()).toBe(2000);
  });

  test('is not there when one long request is under way', async () => {
    const { box, question } = disk(() => ({ ended: 7, underWay: 1 }));
    expect(await quietMomentComes(box, question)).toBe(false);
  });

  test('is waited for', async () => {
    const { box, clock, question } = disk((ms) => ({ ended: Math.min(ms, 900), underWay: 0 }));
    expect(await quietMomentComes(box, question)).toBe(true);
    expect(clock.bootMs()).toBe(1200);
  });

  test('of a disk that the kernel does not show is not waited for in vain', async () => {
    const { clock } = disk(() => ({ ended: 0, underWay: 0 }));
    expect(await quietMomentComes(boxOfTree(treeOf({})), { clock, kernelName })).toBe(true);
  });
});

describe('a polite box', () => {
  test('sends at once while nothing is under way', async () => {
    const { box, clock, sent, question } = disk(() => ({ ended: 7, underWay: 0 }));
    const polite = politeBox(box, question);
    expect((await polite.box.ata(address, checkPowerMode())).ok).toBe(true);
    expect([sent, polite.heldBack(), clock.bootMs()]).toEqual([['CHECK POWER MODE'], false, 0]);
  });

  test('waits for the end of a request', async () => {
    const { box, clock, sent, question } = disk((ms) => ({ ended: 7, underWay: ms < 100 ? 3 : 0 }));
    expect((await politeBox(box, question).box.ata(address, checkPowerMode())).ok).toBe(true);
    expect([sent.length, clock.bootMs()]).toEqual([1, 100]);
  });

  test('holds a command back when the requests do not end in half a second', async () => {
    const { box, clock, sent, question } = disk(() => ({ ended: 7, underWay: 1 }));
    const polite = politeBox(box, question);
    const answer = await polite.box.ata(address, checkPowerMode());
    expect(answer).toEqual({
      ok: false,
      absence: {
        kind: 'busy',
        text: 'CHECK POWER MODE was held back: the drive works for its array',
      },
    });
    expect([sent, polite.heldBack(), clock.bootMs()]).toEqual([[], true, 500]);
  });
});

describe('unqueued commands', () => {
  const tree = treeOf({
    '/sys/block/sdb/device/vendor': 'ATA     ',
    '/sys/block/sdc/device/vendor': 'SEAMARK ',
  });
  test.each([
    ['ata', 'sdb', true],
    ['usb', 'sdd', true],
    ['scsi', 'sdb', true],
    ['scsi', 'sdc', false],
    ['nvme', 'nvme0n1', false],
  ] as const)('a drive reached by %s under %s: %s', async (reachedBy, name, expected) => {
    expect(await isAskedUnqueued(boxOfTree(tree), { reachedBy, kernelName: name })).toBe(expected);
  });
});

describe('members', () => {
  const array = (family: ArraySeen['family'], members: readonly string[]): ArraySeen => ({
    kind: 'array',
    id: 'array-one',
    identityKey: `${family}:one`,
    label: 'Array "one"',
    family,
    level: family === 'md' ? 'raid1' : null,
    folder: '/sys/block/md0',
    members,
  });

  test.each([
    ['a drive that the array names', array('md', ['LK-1', 'LK-2']), true],
    ['a drive that it does not name', array('md', ['LK-2']), false],
    ['any drive, of a pool that names none', array('zfs', []), true],
    ['no drive, of an md array that names none', array('md', []), false],
    ['a drive beside a pool that names its own', array('btrfs', ['LK-2']), false],
  ] as const)('%s', (_, one, expected) => {
    expect(mayBeMember('LK-1', [one])).toBe(expected);
  });
});
