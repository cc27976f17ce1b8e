import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import {
  type DriveState,
  endSelfTest,
  failAttribute,
  makeDriveState,
} from './programmable-drive/drive-state.js';
import { DriveTarget } from './programmable-drive/target.js';
import { RawInitiator } from './raw-initiator.js';

// Command blocks as laid out by SAT and SPC/SBC (from memory), the same that the agent would send.
const identify = [0x85, 0x08, 0x0e, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0xec, 0];
const smartData = [0x85, 0x08, 0x0e, 0, 0xd0, 0, 1, 0, 0, 0, 0x4f, 0, 0xc2, 0, 0xb0, 0];
const thresholds = [0x85, 0x08, 0x0e, 0, 0xd1, 0, 1, 0, 1, 0, 0x4f, 0, 0xc2, 0, 0xb0, 0];
const returnStatus = [0x85, 0x06, 0x20, 0, 0xda, 0, 0, 0, 0, 0, 0x4f, 0, 0xc2, 0, 0xb0, 0];
const shortSelfTest = [0x85, 0x06, 0x20, 0, 0xd4, 0, 0, 0, 1, 0, 0x4f, 0, 0xc2, 0, 0xb0, 0];
const selfTestLog = [0x85, 0x08, 0x0e, 0, 0xd5, 0, 1, 0, 6, 0, 0x4f, 0, 0xc2, 0, 0xb0, 0];
const powerMode = [0x85, 0x06, 0x20, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xe5, 0];
const standbyNow = [0x85, 0x06, 0x20, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xe0, 0];
const nonsense = [0x85, 0x06, 0x20, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xfe, 0];
const statistics = (page: number) => [
  ...[0x85, 0x09, 0x0e, 0, 0, 0, 1, 0, 4, 0, page, 0, 0, 0, 0x2f, 0],
];
const readSectors = (sector: number, count: number) => [
  ...[0x88, 0, 0, 0, 0, 0, 0, 0, sector >> 8, sector & 255],
  ...[0, 0, 0, count, 0, 0],
];
const writeSectors = (sector: number, count: number) => [
  ...[0x8a, 0, 0, 0, 0, 0, 0, 0, sector >> 8, sector & 255],
  ...[0, 0, count >> 8, count & 255, 0, 0],
];

let target: DriveTarget;
let drive: DriveState;
let initiator: RawInitiator;
let clockMs = 0;

beforeEach(async () => {
  clockMs = 0;
  target = new DriveTarget();
  drive = makeDriveState({
    serial: 'TVLAB0001',
    worldWideName: 0x5001_2345_6789_abcdn,
    nowMs: () => clockMs,
  });
  target.add(drive);
  await target.listen();
  initiator = new RawInitiator(target.port);
  expect(await initiator.login('iqn.2024-01.example.lab:tvlab0001')).toBe(0);
});

afterEach(async () => {
  initiator.close();
  await target.close();
});

const sumOf = (page: Buffer) => page.reduce((sum, byte) => sum + byte, 0) % 256;

describe('session', () => {
  it('negotiates no digest and says that it does not understand a made-up key', () => {
    expect(initiator.loginKeys).toBe('HeaderDigest=None\0MadeUpKey=NotUnderstood\0');
  });

  it('refuses a target name that it does not have: class 2, detail 3', async () => {
    const stranger = new RawInitiator(target.port);
    expect(await stranger.login('iqn.2024-01.example.lab:other')).toBe(0x0203);
    stranger.close();
  });

  it('answers a ping with its own bytes and refuses an unknown unit', async () => {
    const ping = Buffer.alloc(48);
    ping[0] = 0x40;
    ping[1] = 0x80;
    ping.writeUInt32BE(0x77, 16);
    ping.writeUInt32BE(0xffff_ffff, 20);
    initiator.sendUnit(ping);
    const pong = await initiator.hear();
    expect([pong.header[0], pong.header.readUInt32BE(16)]).toEqual([0x20, 0x77]);
    const odd = Buffer.alloc(48);
    odd[0] = 0x50;
    initiator.sendUnit(odd);
    expect((await initiator.hear()).header[0]).toBe(0x3f);
  });

  it('tells how many bytes fewer than expected came', async () => {
    const answer = await initiator.command([0x25, 0, 0, 0, 0, 0, 0, 0, 0, 0], { read: 32 });
    expect([answer.data.toString('hex'), answer.residualBytes]).toEqual(['0001ffff00000200', 24]);
  });
});

describe('identity', () => {
  it('gives IDENTIFY DEVICE with swapped text, capacity, world-wide name and checksum', async () => {
    const { data } = await initiator.command(identify, { read: 512 });
    expect(data.subarray(20, 40).swap16().toString()).toBe('TVLAB0001           ');
    expect(data.subarray(54, 94).swap16().toString().trim()).toBe('Tolvane Archive 4000');
    expect(data.readBigUInt64LE(200)).toBe(131_072n);
    expect(data.subarray(216, 224).toString('hex')).toBe('015045238967cdab');
    expect([data.readUInt16LE(434), data[510], sumOf(data)]).toEqual([5400, 0xa5, 0]);
  });

  it('gives inquiry and vital product data', async () => {
    const inquiry = await initiator.command([0x12, 0, 0, 0, 36, 0], { read: 36 });
    expect(inquiry.data.toString('latin1', 8)).toBe('ATA     Tolvane Archive TV01');
    const serial = await initiator.command([0x12, 1, 0x80, 0, 64, 0], { read: 64 });
    expect(serial.data.toString('latin1', 4)).toBe('           TVLAB0001');
    const name = await initiator.command([0x12, 1, 0x83, 0, 64, 0], { read: 64 });
    expect(name.data.toString('hex')).toBe('0083000c01030008500123456789abcd');
    const ata = await initiator.command([0x12, 1, 0x89, 2, 0x3c, 0], { read: 572 });
    expect([ata.data.length, ata.data[36], ata.data[56]]).toEqual([572, 0x34, 0xec]);
    const none = await initiator.command([0x12, 1, 0xc0, 0, 64, 0], { read: 64 });
    expect(none.sense.toString('hex')).toBe(
      '70000500000000'.concat('0a', '00000000', '2400', '00000000'),
    );
  });
});

describe('health records', () => {
  it('gives attributes that follow the state, with right checksums', async () => {
    drive.temperatureCelsius = 44;
    drive.interfaceCrcErrors = 5;
    const { data } = await initiator.command(smartData, { read: 512 });
    expect(sumOf(data)).toBe(0);
    const raw = (id: number) => {
      for (let at = 2; at < 362; at += 12) if (data[at] === id) return data.readUIntLE(at + 5, 6);
      return null;
    };
    expect([5, 9, 12, 194, 197, 199].map(raw)).toEqual([24, 31_337, 407, 44, 0, 5]);
    expect(sumOf((await initiator.command(thresholds, { read: 512 })).data)).toBe(0);
  });

  it('lists statistics pages and gives values with both flags, an unlisted page as zeros', async () => {
    const list = await initiator.command(statistics(0), { read: 512 });
    expect([...list.data.subarray(8, 14)]).toEqual([5, 0, 1, 3, 4, 5]);
    const general = await initiator.command(statistics(1), { read: 512 });
    expect(general.data.subarray(16, 24).toString('hex')).toBe('697a0000000000c0');
    expect((await initiator.command(statistics(6), { read: 512 })).data).toEqual(Buffer.alloc(512));
  });

  it('reports that it will fail by status and by one attribute at its threshold', async () => {
    const before = await initiator.command(returnStatus);
    expect(before.sense.subarray(9, 12).toString('hex')).toBe('004fc2');
    failAttribute(drive, 5);
    const after = await initiator.command(returnStatus);
    expect([after.status, after.sense.toString('hex')]).toEqual([
      2,
      '70000100500000'.concat('0a', '0000f42c', '001d', '00000000'),
    ]);
    const { data } = await initiator.command(smartData, { read: 512 });
    expect([data[26], data[29]]).toEqual([5, 35]);
  });

  it('gives the registers as a descriptor, or loses them, when told so', async () => {
    drive.registersIn = 'descriptor';
    expect((await initiator.command(returnStatus)).sense.toString('hex')).toBe(
      '7201001d0000000e'.concat('090c00000000000000', '4f00c2', '0050'),
    );
    drive.registersIn = 'none';
    const lost = await initiator.command(returnStatus);
    expect([lost.status, lost.sense.length]).toEqual([0, 0]);
  });

  it('aborts a command that it does not know', async () => {
    const answer = await initiator.command(nonsense);
    expect([answer.status, answer.sense[2], answer.sense[3], answer.sense[4]]).toEqual([
      2, 0x0b, 0x04, 0x51,
    ]);
  });
});

describe('self-test and power', () => {
  it('runs a self-test that takes time and logs how it ended', async () => {
    const execution = async () => (await initiator.command(smartData, { read: 512 })).data[363];
    expect(await execution()).toBe(0x00);
    await initiator.command(shortSelfTest);
    expect(await execution()).toBe(0xf9);
    clockMs = 60_000;
    expect(await execution()).toBe(0xf5);
    clockMs = 119_999;
    expect(await execution()).toBe(0xf1);
    clockMs = 120_000;
    expect(await execution()).toBe(0x00);
    await initiator.command(shortSelfTest);
    endSelfTest(drive, 7);
    expect(await execution()).toBe(0x70);
    const { data } = await initiator.command(selfTestLog, { read: 512 });
    expect(data.subarray(2, 11).toString('hex')).toBe('0100697a00ffffffff');
    expect(data.subarray(26, 35).toString('hex')).toBe('0170697a00b80b0000');
    expect([data[508], sumOf(data)]).toEqual([2, 0]);
  });

  it('tells its power mode without waking and counts what wakes it', async () => {
    const mode = async () => (await initiator.command(powerMode)).sense[6];
    expect(await mode()).toBe(0xff);
    await initiator.command(standbyNow);
    expect([await mode(), drive.woken]).toEqual([0, 0]);
    await initiator.command(smartData, { read: 512 });
    expect([await mode(), drive.woken]).toEqual([0xff, 1]);
    await initiator.command(standbyNow);
    await initiator.command(readSectors(0, 1), { read: 512 });
    expect(drive.woken).toBe(2);
  });
});

describe('sectors', () => {
  it('stores what is written in several bursts', async () => {
    const bytes = Buffer.alloc(600 * 512, 0).map((_, index) => index % 251) as Buffer;
    expect((await initiator.command(writeSectors(100, 600), { write: bytes })).status).toBe(0);
    const back = await initiator.command(readSectors(150, 200), { read: 200 * 512 });
    expect(back.data.equals(bytes.subarray(50 * 512, 250 * 512))).toBe(true);
  });

  it('names the pending sector, and heals and counts it when it is rewritten', async () => {
    drive.medium.plant({ kind: 'pending', range: { from: 3000, to: 3001 } });
    const bad = await initiator.command(readSectors(2998, 8), { read: 4096 });
    expect([bad.status, bad.sense.toString('hex')]).toEqual([
      2,
      'f0000300000bb80a'.concat('00000000', '1100', '00000000'),
    ]);
    expect((await initiator.command(readSectors(2998, 2), { read: 1024 })).status).toBe(0);
    await initiator.command(writeSectors(3000, 2), { write: Buffer.alloc(1024, 7) });
    const healed = await initiator.command(readSectors(2998, 8), { read: 4096 });
    expect([healed.status, healed.data[1024]]).toEqual([0, 7]);
    expect([drive.medium.pendingSectors, drive.reallocatedSectors]).toEqual([0, 26]);
  });

  it('refuses what lies past its end', async () => {
    const answer = await initiator.command(
      [0x88, 0, 0, 0, 0, 0, 0, 1, 0xff, 0xff, 0, 0, 0, 2, 0, 0],
      {
        read: 1024,
      },
    );
    expect([answer.status, answer.sense[2], answer.sense[12]]).toEqual([2, 5, 0x21]);
  });

  it('flips a byte, forgets a write, is slow and never answers where told', async () => {
    drive.medium.plant({ kind: 'flip', sector: 10, byte: 100, mask: 0x10 });
    drive.medium.plant({ kind: 'drop', range: { from: 20, to: 20 } });
    drive.medium.plant({ kind: 'slow', range: { from: 30, to: 31 }, delayMs: 60 });
    drive.medium.plant({ kind: 'hang', range: { from: 40, to: 40 } });
    await initiator.command(writeSectors(10, 16), { write: Buffer.alloc(8192, 1) });
    const { data } = await initiator.command(readSectors(10, 16), { read: 8192 });
    expect([data[100], data[99], data[10 * 512 - 1], data[10 * 512]]).toEqual([0x11, 1, 1, 0]);
    const before = performance.now();
    await initiator.command(readSectors(31, 1), { read: 512 });
    expect(performance.now() - before).toBeGreaterThan(55);
    initiator.send(readSectors(40, 1), { read: 512 });
    expect(await initiator.hearWithin(100)).toBeNull();
  });
});

describe('silence', () => {
  it('holds commands but answers an abort, and never answers what was aborted', async () => {
    drive.silence = 'commands';
    const tag = initiator.send(identify, { read: 512 });
    const abort = Buffer.alloc(48);
    abort[0] = 0x42;
    abort[1] = 0x81;
    abort.writeUInt32BE(0x99, 16);
    abort.writeUInt32BE(tag, 20);
    initiator.sendUnit(abort);
    expect((await initiator.hear()).header.subarray(0, 3).toString('hex')).toBe('228000');
    target.release(drive);
    expect(await initiator.hearWithin(50)).toBeNull();
  });

  it('answers what it held once it is released', async () => {
    drive.silence = 'everything';
    initiator.send(identify, { read: 512 });
    const unanswered = initiator.hear();
    target.release(drive);
    expect((await unanswered).header[0]).toBe(0x25);
  });
});
