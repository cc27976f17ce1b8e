import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Box } from '../../src/agent/box/box.js';
import { BoxLook } from '../../src/agent/box-look.js';
import { goneSince } from '../../src/checks/gone.js';
import { archiveParts, archiveReadingRoomBox, archiveSerials } from '../box/archive-box.js';
import type { SimBox } from '../box/sim-box.js';
import { makeSimClock, type SimClock } from '../box/sim-clock.js';
import { newYear, type TemporaryStore, temporaryStore } from './store/temporary-store.js';

const minuteMs = 60_000;
const spare = 'QP2S88121';
const boardPort = (port: number) => ({ pci: archiveParts.boardSata, port });
const [first, second, third, fourth] = archiveSerials.disks;

let room: TemporaryStore;
let clock: SimClock;
let box: SimBox;
let boot: number;

beforeEach(() => {
  room = temporaryStore();
  clock = makeSimClock(newYear);
  const drive = {
    kind: 'sata-ssd' as const,
    model: 'Quillon Perch 240',
    serial: spare,
    worldWideName: '5f0e3f0000881211',
    capacityBytes: 240_057_409_536,
  };
  box = archiveReadingRoomBox(7, { clock, more: [{ drive, place: boardPort(6) }] });
  box.unplug(spare, { held: true });
  boot = room.store.beginBoot(clock.bootId, clock.wallMs());
});
afterEach(() => room.remove());

function lookAt(seam: Box = box): BoxLook {
  return new BoxLook({ box: seam, clock, store: room.store, boot, model: null });
}

async function firstLook(): Promise<BoxLook> {
  const look = lookAt();
  await look.take();
  clock.pass(minuteMs);
  return look;
}

/** The next look, a minute later; the serials of the drives that came. */
async function lookAgain(look: BoxLook): Promise<readonly string[]> {
  const came = (await look.take()).map(({ serial }) => serial);
  clock.pass(minuteMs);
  return came.sort();
}

/** What is kept of a drive by the name that it has in the store: what happened, is it gone. */
function told(name: string) {
  const part = room.store.parts().find((one) => one.name === name);
  if (part === undefined) return 'not kept';
  const kinds = room.store.events(part.id, 20).map(({ kind }) => kind);
  return { kinds: kinds.toReversed(), gone: goneSince(part, boot) !== null };
}

function kernelNameOf(look: BoxLook, serial: string): string | undefined {
  return look.inventory.drives.find((one) => one.serial === serial)?.kernelName;
}

test('nothing changed: there is no reason for a look, and one tells nothing', async () => {
  const look = await firstLook();
  expect(await look.hasChanged()).toBe(false);
  expect(await lookAgain(look)).toEqual([]);
  expect(look.newcomers.unread).toEqual([]);
  expect(room.store.events(null, 10)).toEqual([]);
});

test('no look sends a command to a drive, so none that sleeps is woken', async () => {
  for (const seat of box.parts.seats) seat.drive.state.standby = true;
  const look = await firstLook();
  box.unplug(third);
  expect(await look.hasChanged()).toBe(true);
  await lookAgain(look);
  expect(box.asked).toEqual([]);
  expect(box.parts.seats.flatMap(({ drive }) => drive.state.wokenBy)).toEqual([]);
});

test('a drive that goes is gone after the next look, and the others are as before', async () => {
  const look = await firstLook();
  box.unplug(third);
  expect(await look.hasChanged()).toBe(true);
  expect(await lookAgain(look)).toEqual([]);
  expect(await look.hasChanged()).toBe(false);
  expect(told(third)).toEqual({ kinds: ['part-missing'], gone: true });
  expect(told(fourth)).toEqual({ kinds: [], gone: false });
});

test('a drive that goes in the middle of a look differs from it afterwards', async () => {
  let pulled = false;
  const seam: Box = {
    ...box.ofThisBoot(),
    // The controllers are looked at after the drives.
    kernelFolder: (path) => {
      if (path === '/sys/bus/pci/devices' && !pulled) {
        pulled = true;
        box.unplug(third);
      }
      return box.kernelFolder(path);
    },
  };
  const look = lookAt(seam);
  await look.take();
  expect(pulled).toBe(true);
  expect(await look.hasChanged()).toBe(true);
  await lookAgain(look);
  expect(await look.hasChanged()).toBe(false);
  expect(told(third)).toEqual({ kinds: ['part-missing'], gone: true });
});

test('gone and back under another kernel name: the same part, and it is to be read anew', async () => {
  const look = await firstLook();
  const before = kernelNameOf(look, third);
  const place = { pci: archiveParts.diskCard, port: 1 };
  box.unplug(third, { held: true });
  await lookAgain(look);
  box.plug(third, place);
  expect(await look.hasChanged()).toBe(true);
  expect(await lookAgain(look)).toEqual([third]);
  expect(kernelNameOf(look, third)).not.toBe(before);
  expect(told(third)).toEqual({ kinds: ['part-missing', 'part-back'], gone: false });
  expect(look.newcomers.unread).toEqual([third]);
  expect(look.newcomers.hasUnfelt).toBe(true);
});

test('gone and back between two looks, in the same place under the same name', async () => {
  const look = await firstLook();
  const before = kernelNameOf(look, third);
  box.unplug(third);
  box.plug(third, { pci: archiveParts.diskCard, port: 1 });
  expect(await look.hasChanged()).toBe(true);
  expect(await lookAgain(look)).toEqual([third]);
  expect(kernelNameOf(look, third)).toBe(before);
  expect(told(third)).toEqual({ kinds: ['part-back'], gone: false });
});

test('a drive swapped for another under the same name is two parts', async () => {
  const look = await firstLook();
  const before = kernelNameOf(look, archiveSerials.trial);
  box.unplug(archiveSerials.trial);
  box.plug(spare, boardPort(4));
  expect(await look.hasChanged()).toBe(true);
  expect(await lookAgain(look)).toEqual([spare]);
  expect(kernelNameOf(look, spare)).toBe(before);
  expect(told(archiveSerials.trial)).toEqual({ kinds: ['part-missing'], gone: true });
  expect(told(spare)).toEqual({ kinds: ['part-new'], gone: false });
});

test.each([
  ['at once', false],
  ['after a while', true],
])('moved to another port %s: the same part in another place', async (_, isLookedAt) => {
  const look = await firstLook();
  box.unplug(second);
  if (isLookedAt) await lookAgain(look);
  box.plug(second, boardPort(5));
  await lookAgain(look);
  const { kinds, gone } = { kinds: [], gone: null, ...Object(told(second)) };
  expect(gone).toBe(false);
  expect([...kinds].sort()).toEqual(
    isLookedAt ? ['part-back', 'part-missing', 'part-moved'] : ['part-back', 'part-moved'],
  );
});

test('a second drive with the same serial takes nothing of the first one’s history', async () => {
  const look = await firstLook();
  box.plug(spare, boardPort(6), { serial: first, worldWideName: '5f0a1b0000a12071' });
  expect(await look.hasChanged()).toBe(true);
  await lookAgain(look);
  const twins = look.inventory.drives.filter(({ serial }) => serial === first);
  expect(twins.map(({ duplicateIdentity }) => duplicateIdentity)).toEqual([true, true]);
  // The first one hangs on port 1 of the board, the second one on port 6.
  expect(told(first)).toEqual({ kinds: ['identity-shared'], gone: true });
  expect(told(`${first}-at-00-17-0-port-1`)).toEqual({ kinds: ['identity-shared'], gone: false });
  expect(told(`${first}-at-00-17-0-port-6`)).toMatchObject({ gone: false });
});

test('a card that goes takes its drives along in one look', async () => {
  const look = await firstLook();
  for (const serial of [third, fourth]) box.unplug(serial);
  expect(await look.hasChanged()).toBe(true);
  await lookAgain(look);
  expect([told(third), told(fourth)]).toEqual([
    { kinds: ['part-missing'], gone: true },
    { kinds: ['part-missing'], gone: true },
  ]);
  expect(told(first)).toEqual({ kinds: [], gone: false });
});

describe('newcomers', () => {
  test('are asked once, and wait when they are at work', async () => {
    const look = await firstLook();
    box.plug(spare, boardPort(6));
    await lookAgain(look);
    const drive = look.inventory.drives.find(({ serial }) => serial === spare);
    if (drive === undefined) throw new Error('The spare drive is not there');
    expect(look.newcomers.read(drive)).toBe(true);
    expect(look.newcomers.unread).toEqual([]);
    look.newcomers.putOff(drive);
    expect(look.newcomers.unread).toEqual([spare]);
    look.newcomers.felt();
    expect(look.newcomers.hasUnfelt).toBe(false);
  });

  test('that leave before they were asked are forgotten', async () => {
    const look = await firstLook();
    box.plug(spare, boardPort(6));
    await lookAgain(look);
    box.unplug(spare);
    await lookAgain(look);
    expect(look.newcomers.unread).toEqual([]);
  });

  test('are none at the first look of a boot', async () => {
    const look = await firstLook();
    expect(look.newcomers.unread).toEqual([]);
    expect(look.newcomers.hasUnfelt).toBe(false);
  });
});
