import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { DriveAsking } from '../../src/agent/drive-asking.js';
import { archiveSerials } from '../box/archive-box.js';
import { type AskingRoom, askingRoom, driveOf } from './asking-room.js';

const [serial, neighbour] = archiveSerials.disks;

let room: AskingRoom;
beforeEach(async () => {
  room = await askingRoom();
});
afterEach(() => room.remove());

const statFile = (kernelName: string) => `/sys/block/${kernelName}/stat`;

/** Requests end at each look at the counters, so that no moment is quiet. */
function makeBusy(kernelName: string): void {
  let reads = 1000;
  room.texts.set(statFile(kernelName), () => {
    reads += 1;
    return `${reads} 0 8000 5 0 0 0 0 0 5 5`;
  });
}

function answeredOf(asked: Awaited<ReturnType<DriveAsking['ask']>>) {
  if (asked.kind !== 'answered') throw new Error(`Expected an answer, found ${asked.kind}`);
  return asked;
}

describe('a member of an array', () => {
  test('that is at work gets no command, and after an hour its readings say since when', async () => {
    makeBusy(room.member.kernelName);
    expect(await room.asking.ask(room.member, room.question())).toEqual({ kind: 'later' });
    room.clock.pass(59 * 60_000);
    expect(await room.asking.ask(room.member, room.question())).toEqual({ kind: 'later' });
    room.clock.pass(2 * 60_000);
    expect(await room.asking.ask(room.member, room.question())).toEqual({
      kind: 'none',
      why: 'Busy since 2026-01-05 09:00 UTC with work of its array: no moment without requests came in which it could be asked',
    });
    expect(room.sentSince()).toEqual([]);
  });

  test('that is at work says so of its temperature after a quarter of an hour', async () => {
    makeBusy(room.member.kernelName);
    const question = room.question({ depth: 'temperature' });
    expect(await room.asking.ask(room.member, question)).toEqual({ kind: 'later' });
    room.clock.pass(14 * 60_000);
    expect(await room.asking.ask(room.member, question)).toEqual({ kind: 'later' });
    room.clock.pass(60_000);
    expect(await room.asking.ask(room.member, question)).toMatchObject({ kind: 'none' });
    expect(room.sentSince()).toEqual([]);
  });

  test('that has come to rest is asked, and its busy time begins anew', async () => {
    makeBusy(room.member.kernelName);
    await room.asking.ask(room.member, room.question());
    room.clock.pass(3 * 3_600_000);
    room.texts.clear();
    expect((await room.asking.ask(room.member, room.question())).kind).toBe('answered');
    makeBusy(room.member.kernelName);
    expect(await room.asking.ask(room.member, room.question())).toEqual({ kind: 'later' });
  });

  test('that goes to work in the middle of the round gets no further command', async () => {
    const file = statFile(room.member.kernelName);
    let sent = 0;
    room.hook = () => {
      sent += 1;
      if (sent === 3) room.texts.set(file, () => '1000 0 8000 5 0 0 0 0 2 5 5');
      return undefined;
    };
    expect(await room.asking.ask(room.member, room.question())).toEqual({ kind: 'later' });
    expect(room.sentSince()).toHaveLength(3);
  });

  test('while others are at work, a drive outside of the array is asked like any day', async () => {
    makeBusy(room.onTrial.kernelName);
    const asked = answeredOf(await room.asking.ask(room.onTrial, room.question()));
    expect(asked).toMatchObject({ gentle: false, stoppedBy: null });
  });

  test('whose commands queue is asked while it works', async () => {
    const system = driveOf(room.inventory, archiveSerials.system);
    makeBusy(system.kernelName);
    const arrays = (room.inventory.arrays ?? []).map((one) => ({
      ...one,
      members: [...one.members, system.id],
    }));
    const question = room.question({ inventory: { ...room.inventory, arrays } });
    expect((await room.asking.ask(system, question)).kind).toBe('answered');
  });
});

describe('a member of an array that needs rest', () => {
  const whole =
    'md0 : active raid6 sda[0] sdb[1] sdc[2] sdd[3]\n      15627788288 blocks super 1.2';
  const gentle = [
    'CHECK POWER MODE',
    'IDENTIFY DEVICE',
    'SMART RETURN STATUS',
    'SMART READ LOG E0h',
  ];
  test.each([
    ['degraded', `${whole} [4/3] [UUU_]`],
    ['rebuilding', `${whole} [4/4] [UUUU]\n      [=>..]  recovery =  8.1% (1/12) finish=83.0min`],
    ['being checked', `${whole} [4/4] [UUUU]\n      [=>..]  check =  0.4% (1/250) finish=83.0min`],
  ])('because it is %s gets gentle questions only', async (_, mdstat) => {
    room.texts.set('/proc/mdstat', () => mdstat);
    for (const depth of ['counters', 'rare'] as const) {
      const asked = answeredOf(await room.asking.ask(room.member, room.question({ depth })));
      expect(asked.gentle).toBe(true);
      expect(room.sentSince()).toEqual(gentle.map((command) => `${serial} ${command}`));
    }
    const outside = answeredOf(await room.asking.ask(room.onTrial, room.question()));
    expect(outside.gentle).toBe(false);
  });

  test('is spared too when nothing tells how the array is', async () => {
    room.texts.set('/proc/mdstat', null);
    const asked = answeredOf(await room.asking.ask(room.member, room.question()));
    expect(asked.gentle).toBe(true);
    expect(room.sentSince()).toHaveLength(gentle.length);
  });

  test('is asked for everything when the array is whole', async () => {
    room.texts.set('/proc/mdstat', () => `${whole} [4/4] [UUUU]`);
    const asked = answeredOf(await room.asking.ask(room.member, room.question()));
    expect(asked.gentle).toBe(false);
    expect(room.sentSince().length).toBeGreaterThan(10);
  });
});

test('how warm a drive is is one record, and no verdict', async () => {
  const question = room.question({ depth: 'temperature' });
  const asked = answeredOf(await room.asking.ask(room.member, question));
  expect(asked.found.readings.filter(({ metric }) => metric === 'temperature')).toHaveLength(1);
  expect(room.sentSince()).toEqual([
    `${serial} CHECK POWER MODE`,
    `${serial} IDENTIFY DEVICE`,
    `${serial} SMART READ LOG E0h`,
  ]);
});

describe('whose answers they are', () => {
  test('those of another drive are not believed, and both serial numbers are said', async () => {
    const other = driveOf(room.inventory, neighbour);
    room.hook = () => other;
    expect(await room.asking.ask(room.member, room.question())).toEqual({
      kind: 'none',
      why: `The answers came from a drive with serial number ${neighbour}, expected was ${serial}: nothing in them is believed`,
    });
  });

  test('a bridge that hands on another drive than before is not believed', async () => {
    const dock = { ...room.onTrial, serial: 'DOCK000071', reachedBy: 'usb' } as const;
    const drives = room.inventory.drives.map((one) => (one.id === dock.id ? dock : one));
    const question = room.question({ inventory: { ...room.inventory, drives } });
    const first = answeredOf(await room.asking.ask(dock, question));
    expect(first.found.identity.serial).toBe(archiveSerials.trial);
    const other = driveOf(room.inventory, archiveSerials.disks[1]);
    room.hook = () => other;
    expect(await room.asking.ask(dock, question)).toMatchObject({
      kind: 'none',
      why: expect.stringContaining(`expected was ${archiveSerials.trial}`),
    });
    room.hook = () => undefined;
    expect((await room.asking.ask(dock, question)).kind).toBe('answered');
  });

  test('a name that went to another disk is asked nothing', async () => {
    room.texts.set(`/sys/block/${room.member.kernelName}/diskseq`, () => '4711\n');
    expect(await room.asking.ask(room.member, room.question())).toEqual({
      kind: 'none',
      why: 'Its name in the kernel went to another disk: nothing read under it is believed',
    });
    expect(room.sentSince()).toEqual([]);
  });

  test('a name that goes to another disk during the round makes the round worthless', async () => {
    room.hook = (_, command) => {
      if (command === 'SMART RETURN STATUS') {
        room.texts.set(`/sys/block/${room.member.kernelName}/diskseq`, () => '4711\n');
      }
      return undefined;
    };
    expect((await room.asking.ask(room.member, room.question())).kind).toBe('none');
  });
});

describe('a drive in trouble', () => {
  test('that hangs is left alone after its deadline, and its long logs until the next boot', async () => {
    const drive = room.sim.seat(archiveSerials.trial).drive;
    drive.state.faults.hang = true;
    const startMs = room.clock.bootMs();
    const asked = answeredOf(await room.asking.ask(room.onTrial, room.question()));
    expect(asked.stoppedBy).toMatch(/^No answer to CHECK POWER MODE in \d+ ms$/);
    expect(room.clock.bootMs() - startMs).toBeLessThanOrEqual(15_000);
    expect(room.sentSince()).toEqual([`${archiveSerials.trial} CHECK POWER MODE`]);

    drive.state.faults.hang = false;
    room.clock.pass(60_000);
    expect(room.asking.whyNotRare(room.onTrial)).toMatch(/^The drive left a command unanswered/);
    expect(room.asking.whyNotRare(room.member)).toBe(null);
    const restarted = new DriveAsking(room);
    expect(restarted.whyNotRare(room.onTrial)).not.toBe(null);
    const next = new DriveAsking({ ...room, boot: room.store.beginBoot('boot-2', 0) });
    expect(next.whyNotRare(room.onTrial)).toBe(null);
  });

  test('that vanishes in the middle keeps what it said before, and says why there is no more', async () => {
    room.hook = (_, command) => {
      if (command === 'SMART RETURN STATUS') room.sim.unplug(archiveSerials.trial);
      return undefined;
    };
    const asked = answeredOf(await room.asking.ask(room.onTrial, room.question()));
    expect(asked.stoppedBy).toMatch(/gone|No device/);
    expect(asked.found.identity.serial).toBe(archiveSerials.trial);
    expect(room.asking.whyNotRare(room.onTrial)).toBe(null);
    // Nothing was sent behind the command that found it gone.
    expect(room.sentSince().filter((one) => one.includes('STATUS'))).toEqual([]);
  });

  test('that returns under another name is not asked under the old one', async () => {
    const place = room.sim.seat(archiveSerials.trial).place;
    if (place === null) throw new Error('The drive on trial has no place');
    // Something still holds the old name open, so that the drive gets another.
    room.sim.unplug(archiveSerials.trial, { held: true });
    room.sim.plug(archiveSerials.trial, place);
    const asked = await room.asking.ask(room.onTrial, room.question());
    expect(asked).toMatchObject({
      kind: 'answered',
      stoppedBy: expect.stringMatching(/No device/),
    });
    expect(room.sentSince()).toEqual([]);
  });

  test('that returns under the same name counts as another until it was looked at', async () => {
    const place = room.sim.seat(archiveSerials.trial).place;
    if (place === null) throw new Error('The drive on trial has no place');
    room.sim.unplug(archiveSerials.trial);
    room.sim.plug(archiveSerials.trial, place);
    const asked = await room.asking.ask(room.onTrial, room.question());
    expect(asked).toMatchObject({ kind: 'none' });
    expect(room.sentSince()).toEqual([]);
  });

  test('that may sleep and does not tell is asked nothing more unless it was used', async () => {
    const { drive } = room.sim.seat(serial);
    drive.state.faults.losesRegisters = true;
    const mayWake = room.question({ usedLately: false });
    expect(await room.asking.ask(room.member, mayWake)).toEqual({
      kind: 'none',
      why: 'Not asked: the way to the drive does not tell whether it sleeps, and nobody used it lately',
    });
    expect(room.sentSince()).toEqual([`${serial} CHECK POWER MODE`]);
    expect((await room.asking.ask(room.member, room.question())).kind).toBe('answered');
  });
});
