import { describe, expect, it } from 'vitest';
import type { BlockHandle } from '../../src/agent/box/box.js';
import {
  checkPowerMode,
  identifyDevice,
  readLogExtended,
  smartReadData,
  smartReadLog,
  smartReadThresholds,
  smartReturnStatus,
  smartSelfTest,
} from '../../src/agent/box/layouts/commands-ata.js';
import { nvmeLog } from '../../src/agent/box/layouts/commands-nvme.js';
import { logSense } from '../../src/agent/box/layouts/commands-scsi.js';
import { blockSuite, kindOf, valueIn } from './block-suite.js';
import { addressFor, oneDriveBox } from './one-drive-box.js';
import { makeSimClock } from './sim-clock.js';
import { makeSimDrive } from './sim-drive.js';
import type { SimDriveOptions } from './sim-drive-state.js';

const mebibyte = 1_048_576;
const opening = { write: true, exclusive: false, deadlineMs: 30_000 };
const minute = 60_000;
const hour = 60 * minute;

function made(changes: Partial<SimDriveOptions> = {}) {
  const clock = makeSimClock(Date.parse('2026-01-01T00:00:00Z'));
  const drive = makeSimDrive({
    kind: 'sata-disk',
    model: 'Larkspur LV4000',
    serial: 'LK-20417',
    capacityBytes: 4e12,
    clock,
    ...changes,
  });
  return { clock, drive };
}

async function blocks(drive: ReturnType<typeof made>['drive']): Promise<BlockHandle> {
  return valueIn(await drive.openBlocks(opening));
}

function filled(bytes: number, value: number): Uint8Array {
  return new Uint8Array(bytes).fill(value);
}

async function readBack(handle: BlockHandle, offset: number, bytes: number) {
  const buffer = handle.makeBuffer(bytes);
  const answer = await handle.read(offset, buffer);
  return { answer, buffer };
}

describe('the records of a simulated disk', () => {
  it('have checksums that come out at zero', async () => {
    const { drive } = made();
    drive.state.selfTests.push({ number: 2, result: 7, hours: 4000, failingLba: 0x02345678 });
    const commands = [
      identifyDevice(),
      smartReadData(),
      smartReadThresholds(),
      smartReadLog(0x06, 1),
      readLogExtended(0x07, { page: 0, pages: 1 }),
      readLogExtended(0x11, { page: 0, pages: 1 }),
    ];
    for (const command of commands) {
      const { data } = valueIn(await drive.ata(command));
      expect(data.length).toBe(512);
      expect(data.reduce((sum, byte) => sum + byte, 0) % 256).toBe(0);
    }
  });

  it('lay the self-test log down as the standard does', async () => {
    const { drive } = made();
    drive.state.selfTests.push(
      { number: 1, result: 0, hours: 1234, failingLba: null },
      { number: 2, result: 7, hours: 4000, failingLba: 0x02345678 },
    );
    const { data } = valueIn(await drive.ata(smartReadLog(0x06, 1)));
    // ATA self-test log: 1234 = 04D2h, 4000 = 0FA0h, the failing sector lowest byte first.
    expect(Buffer.from(data.subarray(0, 11)).toString('hex')).toBe('01000100d2040000000000');
    expect(Buffer.from(data.subarray(26, 35)).toString('hex')).toBe('0270a00f0078563402');
    expect(data[508]).toBe(2);
  });

  it('write strings with the high byte of each word first', async () => {
    const { drive } = made({ serial: 'LABSER00' });
    const { data } = valueIn(await drive.ata(identifyDevice()));
    // Right-aligned in 20 bytes: 12 spaces, then "LABSER00" as AL SB RE 00.
    expect(Buffer.from(data.subarray(32, 40)).toString('latin1')).toBe('ALSBRE00');
  });

  it('tell block sizes and rotation in their words', async () => {
    const words = async (changes: Partial<SimDriveOptions>) => {
      const { data } = valueIn(await made(changes).drive.ata(identifyDevice()));
      return [106, 117, 217].map((word) => Buffer.from(data).readUInt16LE(2 * word));
    };
    // Word 106: 6003h = 8 logical in a physical sector; 5000h = a logical sector of its own size.
    expect(await words({})).toEqual([0x6003, 0, 7200]);
    expect(await words({ logicalBlockBytes: 4096, capacityBytes: 4096e6 })).toEqual([
      0x5000, 2048, 7200,
    ]);
    expect(await words({ kind: 'sata-ssd' })).toEqual([0x6003, 0, 1]);
  });

  it('show what the state says at the next reading', async () => {
    const { drive } = made();
    drive.state.temperatureCelsius = -5;
    drive.state.interfaceCrcErrors = 77;
    const temperature = valueIn(await drive.ata(readLogExtended(4, { page: 5, pages: 1 }))).data;
    // Device Statistics page 5: -5 degrees is FBh, supported and valid C0h.
    expect([temperature[8], temperature[15]]).toEqual([0xfb, 0xc0]);
    const transport = valueIn(await drive.ata(readLogExtended(4, { page: 6, pages: 1 }))).data;
    expect([transport[24], transport[31]]).toEqual([77, 0xc0]);
  });

  it('carry its own verdict', async () => {
    const { drive } = made();
    expect(valueIn(await drive.ata(smartReturnStatus())).registers?.lba).toBe(0xc24f00);
    drive.state.failing = true;
    expect(valueIn(await drive.ata(smartReturnStatus())).registers?.lba).toBe(0x2cf400);
  });

  it('count NVMe data in thousands of 512 bytes, rounded up', async () => {
    const { drive } = made({ kind: 'nvme' });
    drive.state.bytesRead = 512_000 * 1e6 + 1;
    drive.state.temperatureCelsius = 26;
    const { data } = valueIn(await drive.nvme(nvmeLog(2, 512)));
    expect(Buffer.from(data).readBigUInt64LE(32)).toBe(1_000_001n);
    // 26 degrees are 299 kelvin.
    expect(Buffer.from(data).readUInt16LE(1)).toBe(299);
  });

  it('tell a SAS disk in big-endian log pages', async () => {
    const { drive } = made({ kind: 'sas-disk', model: 'Quillon QS600' });
    Object.assign(drive.state, { temperatureCelsius: 31, temperatureLimitCelsius: 60 });
    const { data } = valueIn(await drive.scsi(logSense(0x0d)));
    // Temperature page: 31 degrees, reference 60.
    expect(Buffer.from(data).toString('hex')).toBe('0d00000c00000302001f00010302003c');
  });
});

describe('time on a simulated disk', () => {
  it('adds powered-on hours, and none while the box is off', async () => {
    const { drive, clock } = made();
    drive.state.powerOnHours = 100;
    clock.pass(3 * hour);
    drive.settle();
    expect(drive.state.powerOnHours).toBeCloseTo(103, 9);
    clock.boot('boot-2', 48 * hour);
    clock.pass(hour);
    drive.settle();
    expect(drive.state.powerOnHours).toBeCloseTo(104, 9);
    expect(drive.state.powerCycles).toBe(311);
  });

  it('lets it fall asleep by itself; power mode and identity do not wake it, SMART does', async () => {
    const { drive, clock } = made();
    drive.state.standbyAfterMs = 20 * minute;
    clock.pass(19 * minute);
    expect(valueIn(await drive.ata(checkPowerMode())).registers?.count).toBe(0xff);
    clock.pass(2 * minute);
    expect(valueIn(await drive.ata(checkPowerMode())).registers?.count).toBe(0x00);
    await drive.ata(identifyDevice());
    expect(drive.state).toMatchObject({ standby: true, spinUps: 0, wokenBy: [] });
    const before = clock.fineMs();
    await drive.ata(smartReadData());
    expect(clock.fineMs() - before).toBe(6000);
    expect(drive.state).toMatchObject({ standby: false, spinUps: 1, wokenBy: ['SMART READ DATA'] });
  });

  it('runs a self-test for its minutes and logs it with the hours', async () => {
    const { drive, clock } = made();
    drive.state.powerOnHours = 4000;
    await drive.ata(smartSelfTest('short'));
    clock.pass(minute);
    const half = valueIn(await drive.ata(smartReadData())).data;
    // Byte 363: F in the high half while it runs, tenths left in the low half.
    expect(half[363]).toBe(0xf5);
    clock.pass(minute);
    const done = valueIn(await drive.ata(smartReadData())).data;
    expect(done[363]).toBe(0x00);
    expect(drive.state.selfTests).toEqual([
      { number: 1, result: 0, hours: 4000, failingLba: null },
    ]);
  });

  it('ends a self-test early at a bad sector, by command and at a power cut', async () => {
    const { drive, clock } = made();
    drive.state.faults.badSectors.set(3_906_250_000, 'unreadable');
    await drive.ata(smartSelfTest('extended'));
    // The sector lies in the middle, so the test of 420 minutes ends after 210.
    clock.pass(209 * minute);
    drive.settle();
    expect(drive.state.selfTests).toEqual([]);
    clock.pass(2 * minute);
    drive.settle();
    expect(drive.state.selfTests.at(-1)).toMatchObject({ result: 7, failingLba: 3_906_250_000 });
    await drive.ata(smartSelfTest('short'));
    await drive.ata(smartSelfTest('abort'));
    await drive.ata(smartSelfTest('short'));
    clock.boot('boot-2', hour);
    drive.settle();
    expect(drive.state.selfTests.map((entry) => entry.result)).toEqual([7, 1, 2]);
  });
});

describe('blocks of a simulated disk', () => {
  it('keep what is written, read as zeros elsewhere, and hold terabytes', async () => {
    const { drive } = made();
    const handle = await blocks(drive);
    const offset = 3e12 - (3e12 % 4096) + 4096 * 7;
    valueIn(await handle.write(offset, filled(3 * 65_536, 0xab)));
    const { buffer } = await readBack(handle, offset - 4096, 4 * 65_536);
    expect(buffer.subarray(0, 4096).every((byte) => byte === 0)).toBe(true);
    expect(buffer.subarray(4096, 4096 + 3 * 65_536).every((byte) => byte === 0xab)).toBe(true);
    expect(buffer.subarray(4096 + 3 * 65_536).every((byte) => byte === 0)).toBe(true);
    expect(handle.sizeBytes).toBe(4e12);
  });

  it('move at the rate of their place: first, middle and last as the curve says', async () => {
    const { drive, clock } = made();
    const handle = await blocks(drive);
    const rate = async (offset: number) => {
      const before = clock.fineMs();
      await readBack(handle, offset - (offset % 512), 16 * mebibyte);
      return (16 * mebibyte) / ((clock.fineMs() - before) / 1000);
    };
    // 200 and 95 MB/s at the ends; in the middle √((200² + 95²) / 2) = 156.6. Chance is 1 %.
    expect((await rate(0)) / 200e6).toBeCloseTo(1, 1);
    expect((await rate(2e12)) / 156.6e6).toBeCloseTo(1, 1);
    expect((await rate(4e12 - 128 * mebibyte)) / 95e6).toBeCloseTo(1, 1);
  });

  it('move the same way for the same seed', async () => {
    const timed = async (seed: number) => {
      const { drive, clock } = made({ seed });
      const handle = await blocks(drive);
      for (let index = 0; index < 20; index += 1)
        await readBack(handle, index * mebibyte, mebibyte);
      return clock.fineMs();
    };
    expect(await timed(7)).toBe(await timed(7));
    expect(await timed(7)).not.toBe(await timed(8));
  });
});

blockSuite('a simulated disk', () => {
  const { drive } = made({ capacityBytes: 8 * mebibyte });
  const { box } = oneDriveBox(drive);
  return {
    box,
    drive: addressFor('ata'),
    sizeBytes: 8 * mebibyte,
    model: 'Larkspur LV4000',
    serial: 'LK-20417',
    dispose: () => undefined,
  };
});

describe('planted faults', () => {
  it('a bad sector: its class, pending, and healing by rewriting', async () => {
    const { drive, clock } = made();
    const handle = await blocks(drive);
    drive.state.faults.badSectors.set(100, 'unreadable');
    const before = clock.fineMs();
    expect(kindOf((await readBack(handle, 0, mebibyte)).answer)).toBe('unreadable');
    expect(clock.fineMs() - before).toBeGreaterThanOrEqual(1200);
    expect([...drive.state.pendingSectors]).toEqual([100]);
    const { data } = valueIn(await drive.ata(smartReadData()));
    const raws = new Map(
      Array.from({ length: 30 }, (_, index) => [data[2 + 12 * index], data[7 + 12 * index]]),
    );
    expect([raws.get(5), raws.get(187), raws.get(197)]).toEqual([0, 1, 1]);
    expect(kindOf((await readBack(handle, 101 * 512, 4096)).answer)).toBe('ok');
    valueIn(await handle.write(100 * 512, filled(512, 9)));
    const healed = await readBack(handle, 100 * 512, 512);
    expect(healed.buffer.every((byte) => byte === 9)).toBe(true);
    expect(drive.state).toMatchObject({ reallocatedSectors: 1, grownDefects: 1 });
    expect(drive.state.pendingSectors.size).toBe(0);
  });

  it('other classes of bad sectors', async () => {
    const { drive } = made();
    const handle = await blocks(drive);
    drive.state.faults.badSectors.set(1, 'aborted').set(100, 'damaged');
    expect(kindOf((await readBack(handle, 0, 4096)).answer)).toBe('aborted');
    expect(kindOf((await readBack(handle, 100 * 512, 512)).answer)).toBe('damaged');
    expect(drive.state.pendingSectors.size).toBe(0);
  });

  it('a sector that cannot be written', async () => {
    const { drive } = made();
    const handle = await blocks(drive);
    drive.state.faults.deadSectors.add(8);
    expect(kindOf(await handle.write(0, filled(65_536, 1)))).toBe('aborted');
    expect(kindOf(await handle.write(65_536, filled(65_536, 1)))).toBe('ok');
  });

  it('a flipped bit is read as good data', async () => {
    const { drive } = made();
    const handle = await blocks(drive);
    valueIn(await handle.write(0, filled(4096, 0xff)));
    drive.state.faults.flips.set(3, { byte: 17, bits: 0x10 });
    const { answer, buffer } = await readBack(handle, 1024, 2048);
    expect(kindOf(answer)).toBe('ok');
    const wrong = [...buffer].flatMap((byte, index) => (byte === 0xff ? [] : [[index, byte]]));
    expect(wrong).toEqual([[3 * 512 - 1024 + 17, 0xef]]);
  });

  it('a dropped write says that it went well', async () => {
    const { drive } = made();
    const handle = await blocks(drive);
    valueIn(await handle.write(0, filled(4096, 1)));
    drive.state.faults.droppedWrites.add(2);
    expect(kindOf(await handle.write(0, filled(4096, 2)))).toBe('ok');
    const { buffer } = await readBack(handle, 0, 4096);
    const sectors = Array.from({ length: 8 }, (_, index) => buffer[index * 512]);
    expect(sectors).toEqual([2, 2, 1, 2, 2, 2, 2, 2]);
  });

  it('a misplaced write lands elsewhere', async () => {
    const { drive } = made();
    const handle = await blocks(drive);
    drive.state.faults.misplacedWrites.set(2, 40);
    expect(kindOf(await handle.write(0, filled(4096, 7)))).toBe('ok');
    const { buffer } = await readBack(handle, 0, 64 * 512);
    expect([buffer[2 * 512], buffer[3 * 512], buffer[40 * 512]]).toEqual([0, 7, 7]);
  });

  it('a faked capacity starts again at its beginning', async () => {
    const { drive } = made();
    const handle = await blocks(drive);
    drive.state.faults.wrapBytes = mebibyte;
    valueIn(await handle.write(0, filled(4096, 1)));
    expect(kindOf(await handle.write(5 * mebibyte - 512, filled(1024, 5)))).toBe('ok');
    const { buffer } = await readBack(handle, 0, 1024);
    expect([buffer[0], buffer[512]]).toEqual([5, 1]);
    expect((await readBack(handle, mebibyte - 512, 512)).buffer[0]).toBe(5);
  });

  it('a slow place and a drive that is slow everywhere', async () => {
    const { drive, clock } = made();
    const handle = await blocks(drive);
    const timed = async (offset: number) => {
      const before = clock.fineMs();
      await readBack(handle, offset, mebibyte);
      return clock.fineMs() - before;
    };
    const usual = await timed(0);
    drive.state.faults.slowPlaces.push({ fromByte: 0, toByte: 512, extraMs: 800 });
    expect(await timed(0)).toBeCloseTo(usual + 800, -1);
    expect(await timed(mebibyte)).toBeLessThan(2 * usual);
    drive.state.faults.slowedBy = 10;
    expect(await timed(mebibyte)).toBeGreaterThan(8 * usual);
  });

  it('slower than the deadline: timed out, then busy until it is over', async () => {
    const { drive, clock } = made();
    const handle = await blocks(drive);
    drive.state.faults.slowPlaces.push({ fromByte: 0, toByte: 512, extraMs: 45_000 });
    const before = clock.fineMs();
    expect(kindOf((await readBack(handle, 0, 4096)).answer)).toBe('timed-out');
    expect(clock.fineMs() - before).toBe(30_000);
    expect(kindOf(await drive.ata(checkPowerMode()))).toBe('busy');
    clock.pass(16_000);
    expect(kindOf(await drive.ata(checkPowerMode()))).toBe('ok');
  });

  it('hanging: timed out once, busy at once after that, well again when released', async () => {
    const { drive, clock } = made();
    drive.state.faults.hang = true;
    const before = clock.fineMs();
    expect(kindOf(await drive.ata(identifyDevice()))).toBe('timed-out');
    expect(clock.fineMs() - before).toBe(10_000);
    expect(kindOf(await drive.ata(identifyDevice()))).toBe('busy');
    expect(kindOf(await drive.openBlocks(opening))).toBe('busy');
    expect(clock.fineMs() - before).toBe(10_000);
    drive.state.faults.hang = false;
    expect(kindOf(await drive.ata(identifyDevice()))).toBe('ok');
  });

  it('vanished: everything is gone', async () => {
    const { drive } = made();
    const handle = await blocks(drive);
    drive.state.faults.vanished = true;
    const answers = [
      await drive.ata(identifyDevice()),
      await drive.openBlocks(opening),
      await handle.read(0, handle.makeBuffer(512)),
      await handle.flush(),
      await handle.identity(),
    ];
    expect(answers.map(kindOf)).toEqual(Array(5).fill('gone'));
  });

  it('commands of another kind of drive are not supported', async () => {
    const { drive } = made({ kind: 'nvme' });
    expect(kindOf(await drive.ata(identifyDevice()))).toBe('not-supported');
    expect(kindOf(await drive.scsi(logSense(0)))).toBe('not-supported');
    expect(kindOf(await made().drive.nvme(nvmeLog(2, 512)))).toBe('not-supported');
  });
});
