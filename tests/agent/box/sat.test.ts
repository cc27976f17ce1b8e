import { describe, expect, it } from 'vitest';
import type { AtaCommand } from '../../../src/agent/box/box.js';
import {
  checkPowerMode,
  identifyDevice,
  readLogExtended,
  readNativeMax,
  readNativeMaxExtended,
  sctRecoveryTimer,
  sctStatus,
  smartReadData,
  smartReadLog,
  smartReadThresholds,
  smartReturnStatus,
  smartSelfTest,
} from '../../../src/agent/box/layouts/commands-ata.js';
import { readRegisters, satAnswer, satCommand } from '../../../src/agent/box/layouts/sat.js';
import type { ScsiOutcome } from '../../../src/agent/box/layouts/sg-header.js';

function bytes(hex: string): Uint8Array {
  return Uint8Array.from(hex.trim().split(/\s+/), (byte) => Number.parseInt(byte, 16));
}

function hex(data: Uint8Array): string {
  return Array.from(data, (byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join(' ');
}

/** SAT ATA PASS-THROUGH(16); all but READ LOG EXT were answered by an emulated disk. */
const expectedCdb: ReadonlyArray<readonly [AtaCommand, string]> = [
  [identifyDevice(), '85 08 0E 00 00 00 01 00 00 00 00 00 00 00 EC 00'],
  [smartReadData(), '85 08 0E 00 D0 00 01 00 00 00 4F 00 C2 00 B0 00'],
  [smartReadThresholds(), '85 08 0E 00 D1 00 01 00 01 00 4F 00 C2 00 B0 00'],
  [smartReturnStatus(), '85 06 20 00 DA 00 00 00 00 00 4F 00 C2 00 B0 00'],
  [smartSelfTest('short'), '85 06 20 00 D4 00 00 00 01 00 4F 00 C2 00 B0 00'],
  [smartSelfTest('extended'), '85 06 20 00 D4 00 00 00 02 00 4F 00 C2 00 B0 00'],
  [smartSelfTest('abort'), '85 06 20 00 D4 00 00 00 7F 00 4F 00 C2 00 B0 00'],
  [smartReadLog(0x06, 1), '85 08 0E 00 D5 00 01 00 06 00 4F 00 C2 00 B0 00'],
  [smartReadLog(0x04, 8), '85 08 0E 00 D5 00 08 00 04 00 4F 00 C2 00 B0 00'],
  [sctStatus(), '85 08 0E 00 D5 00 01 00 E0 00 4F 00 C2 00 B0 00'],
  [readLogExtended(0x04, { page: 1, pages: 1 }), '85 09 0E 00 00 00 01 00 04 00 01 00 00 00 2F 00'],
  [
    readLogExtended(0x03, { page: 0x0102, pages: 3 }),
    '85 09 0E 00 00 00 03 00 03 01 02 00 00 00 2F 00',
  ],
  [checkPowerMode(), '85 06 20 00 00 00 00 00 00 00 00 00 00 00 E5 00'],
  [readNativeMaxExtended(), '85 07 20 00 00 00 00 00 00 00 00 00 00 40 27 00'],
  [readNativeMax(), '85 06 20 00 00 00 00 00 00 00 00 00 00 40 F8 00'],
];

describe('ATA commands inside SCSI', () => {
  for (const [command, expected] of expectedCdb) {
    it(`${command.name} has its sixteen bytes`, () => {
      expect(hex(satCommand(command))).toBe(expected);
    });
  }

  it('moves as many bytes as COUNT says pages of 512', () => {
    for (const [command] of expectedCdb) {
      const pages = command.transfer === 'none' ? 0 : command.count;
      expect(command.transferBytes).toBe(pages * 512);
    }
  });

  it('puts the upper register bytes where the 48-bit form wants them', () => {
    const command: AtaCommand = {
      ...identifyDevice(),
      feature: 0x1234,
      count: 0x5678,
      lba: 0x0a0b0c0d0e0f,
      extend: true,
    };
    // SAT: bytes 3,4 FEATURE, 5,6 COUNT, then LBA pairs (31:24)(7:0) (39:32)(15:8) (47:40)(23:16).
    expect(hex(satCommand(command))).toBe('85 09 0E 12 34 56 78 0C 0F 0B 0E 0A 0D 00 EC 00');
  });

  it('sends data to the drive with the direction bit clear', () => {
    const command: AtaCommand = { ...identifyDevice(), transfer: 'to-drive' };
    expect(hex(satCommand(command)).slice(0, 8)).toBe('85 0A 06');
  });

  it('asks for registers beside data to the drive, and never beside data from it', () => {
    const command: AtaCommand = { ...identifyDevice(), wantRegisters: true };
    expect((satCommand(command)[2] ?? 0) & 0x20).toBe(0);
    const question = sctRecoveryTimer('read');
    // SMART WRITE LOG to log E0h, one block out, registers wanted (20h).
    expect(hex(satCommand(question))).toBe('85 0A 26 00 D6 00 01 00 E0 00 4F 00 C2 00 B0 00');
  });
});

const passed = '72 01 00 1D 00 00 00 0E 09 0C 00 00 00 00 00 00 00 4F 00 C2 00 50';
const failing = '72 01 00 1D 00 00 00 0E 09 0C 00 00 00 00 00 00 00 F4 00 2C 00 50';

function outcome(sense: string, changes: Partial<ScsiOutcome> = {}): ScsiOutcome {
  return {
    status: 2,
    hostStatus: 0,
    driverStatus: 8,
    sense: sense === '' ? new Uint8Array(0) : bytes(sense),
    data: new Uint8Array(0),
    ...changes,
  };
}

describe('registers in sense data', () => {
  it('are read from the descriptor of a command that went well', () => {
    expect(readRegisters(bytes(failing))).toEqual({
      error: 0,
      status: 0x50,
      device: 0,
      count: 0,
      lba: 0x2cf400,
    });
    expect(readRegisters(bytes(passed))?.lba).toBe(0xc24f00);
  });

  it('are found behind another descriptor', () => {
    const other = '72 01 00 1D 00 00 00 12 80 02 00 00 09 0C 00 00 00 FF 00 00 00 4F 00 C2 00 50';
    expect(readRegisters(bytes(other))).toMatchObject({ count: 0xff, lba: 0xc24f00 });
  });

  it('have 48 bits only when the descriptor says so', () => {
    const wide = '72 01 00 1D 00 00 00 0E 09 0C 01 00 00 00 D1 AF C0 BE 01 00 40 50';
    // LBA pairs (31:24)(7:0) = D1 AF, (39:32)(15:8) = C0 BE, (47:40)(23:16) = 01 00.
    expect(readRegisters(bytes(wide))?.lba).toBe(0x01c0d100beaf);
    const narrow = wide.replace('09 0C 01', '09 0C 00');
    expect(readRegisters(bytes(narrow))?.lba).toBe(0x00beaf);
  });

  it('are read from the fixed format of SAT', () => {
    const fixed = '70 00 01 00 50 00 FF 0A 00 00 4F C2 00 1D 00 00 00 00';
    expect(readRegisters(bytes(fixed))).toEqual({
      error: 0,
      status: 0x50,
      device: 0,
      count: 0xff,
      lba: 0xc24f00,
    });
  });

  it('are nothing when the fixed format says that upper bytes are missing', () => {
    const cutOff = '70 00 01 00 50 00 FF 0A 20 00 4F C2 00 1D 00 00 00 00';
    expect(readRegisters(bytes(cutOff))).toBeNull();
  });

  it('are read from the places where Linux 6.1 puts them when a command fails', () => {
    const misplaced = '70 00 0B 00 00 00 00 0A 04 41 00 01 00 00 00 00 00 07';
    expect(readRegisters(bytes(misplaced))).toMatchObject({
      error: 0x04,
      status: 0x41,
      count: 1,
      lba: 7,
    });
  });

  it('are nothing when a bridge rebuilt the sense and filled it with zeros', () => {
    const rebuilt = '70 00 01 00 00 00 00 0A 00 00 00 00 00 1D 00 00 00 00';
    expect(readRegisters(bytes(rebuilt))).toBeNull();
    const empty = '72 01 00 1D 00 00 00 0E 09 0C 00 00 00 00 00 00 00 00 00 00 00 00';
    expect(readRegisters(bytes(empty))).toBeNull();
  });

  it('are nothing in sense that is cut off, and reading it never throws', () => {
    const all = bytes(passed);
    for (let length = 0; length < all.length; length += 1) {
      expect(readRegisters(all.subarray(0, length))).toBeNull();
    }
  });

  it('are nothing when the list is longer than what came', () => {
    expect(readRegisters(bytes('72 01 00 1D 00 00 00 FF 09 0C 00'))).toBeNull();
    expect(readRegisters(bytes('72 01 00 1D 00 00 00 04 00 00 00 00'))).toBeNull();
  });
});

describe('what an ATA command brought', () => {
  it('is its registers when the sense says that all went well', () => {
    const answer = satAnswer(smartReturnStatus(), outcome(failing));
    expect(answer.ok && answer.value.registers?.lba).toBe(0x2cf400);
  });

  it('is its data and no registers on good status', () => {
    const data = Uint8Array.from([1, 2, 3]);
    const answer = satAnswer(identifyDevice(), outcome('', { status: 0, data }));
    expect(answer).toEqual({ ok: true, value: { data, registers: null } });
  });

  it('has null registers, and is no pass, when the bridge lost them', () => {
    const answer = satAnswer(smartReturnStatus(), outcome('', { status: 0 }));
    expect(answer.ok && answer.value.registers).toBeNull();
  });

  it('is `refused` when the drive aborts the command', () => {
    const sense = '70 00 0B 00 00 00 00 0A 04 41 00 01 00 00 00 00 00 07';
    const answer = satAnswer(readLogExtended(7, { page: 0, pages: 1 }), outcome(sense));
    expect(answer.ok ? '' : answer.absence.kind).toBe('refused');
    expect(answer.ok ? '' : answer.absence.text).toContain('READ LOG EXT 07h');
  });

  it('is `aborted` when nothing tells why', () => {
    for (const sense of ['70 00 0B 00 00 00 00 0A 00 00 00 00 00 00 00 00 00 00', '']) {
      const answer = satAnswer(smartReadData(), outcome(sense));
      expect(answer.ok ? '' : answer.absence.kind).toBe('aborted');
    }
  });

  it('is `aborted` for an interface CRC error, which is no refusal', () => {
    // ICRC and ABRT together (84h) become 0B/47/00 (Linux 6.1 ata_to_sense_error).
    const sense = '72 0B 47 00 00 00 00 0E 09 0C 00 84 00 01 00 00 00 00 00 00 00 51';
    const answer = satAnswer(smartReadData(), outcome(sense));
    expect(answer.ok ? '' : answer.absence.kind).toBe('aborted');
  });

  it('is `not-supported` when a bridge does not know the command', () => {
    const sense = '70 00 05 00 00 00 00 0A 00 00 00 00 20 00 00 00 00 00';
    const answer = satAnswer(identifyDevice(), outcome(sense));
    expect(answer.ok ? '' : answer.absence.kind).toBe('not-supported');
  });

  it('is `timed-out` or `gone` by the way to the drive, whatever the status says', () => {
    const late = satAnswer(identifyDevice(), outcome(passed, { hostStatus: 3 }));
    expect(late.ok ? '' : late.absence.kind).toBe('timed-out');
    const gone = satAnswer(identifyDevice(), outcome('', { status: 0, hostStatus: 1 }));
    expect(gone.ok ? '' : gone.absence.kind).toBe('gone');
    const driver = satAnswer(identifyDevice(), outcome('', { status: 0, driverStatus: 6 }));
    expect(driver.ok ? '' : driver.absence.kind).toBe('timed-out');
  });
});
