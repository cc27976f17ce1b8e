import { type AtaEnd, type AtaRegisters, runAta } from './ata-commands.js';
import type { DriveState } from './drive-state.js';
import { identifyPage } from './identify-page.js';
import { good, refused, type ScsiEnd } from './scsi-end.js';
import { descriptorRegisters, fixedRegisters } from './sense.js';

/** ATA PASS-THROUGH(16) and (12): unpacks the registers, runs the command, packs its end. */
export function passThrough(state: DriveState, cdb: Buffer): ScsiEnd {
  const protocol = (cdb[1] ?? 0) >> 1;
  if (![3, 4, 5, 6, 10, 11].includes(protocol & 0x0f)) return refused(0x24);
  const registers = cdb[0] === 0x85 ? registersOf16(cdb) : registersOf12(cdb);
  return packEnd(state, runAta(state, registers), ((cdb[2] ?? 0) & 0x20) !== 0);
}

function packEnd(state: DriveState, end: AtaEnd, wantsRegisters: boolean): ScsiEnd {
  const failed = (end.status & 1) === 1;
  if (!failed && !(wantsRegisters && state.registersIn !== 'none')) return good(end.data);
  const sense = state.registersIn === 'descriptor' ? descriptorRegisters(end) : fixedRegisters(end);
  return { kind: 'answer', status: 2, sense, data: end.data, delayMs: 0 };
}

function registersOf16(cdb: Buffer): AtaRegisters {
  const at = (place: number): number => cdb[place] ?? 0;
  const extended = (at(1) & 1) === 1;
  const high = extended ? 1 : 0;
  return {
    feature: high * at(3) * 256 + at(4),
    count: high * at(5) * 256 + at(6),
    lba:
      at(8) +
      at(10) * 2 ** 8 +
      at(12) * 2 ** 16 +
      high * (at(7) * 2 ** 24 + at(9) * 2 ** 32 + at(11) * 2 ** 40),
    device: at(13),
    command: at(14),
  };
}

function registersOf12(cdb: Buffer): AtaRegisters {
  const at = (place: number): number => cdb[place] ?? 0;
  return {
    feature: at(3),
    count: at(4),
    lba: at(5) + at(6) * 2 ** 8 + at(7) * 2 ** 16,
    device: at(8),
    command: at(9),
  };
}

/** Vital product data 89h: who translates, and the drive's IDENTIFY DEVICE from byte 60. */
export function ataInformation(state: DriveState): Buffer {
  const body = Buffer.alloc(568);
  body.write('Tolvane Lab bridge      1.0 ', 4, 'latin1');
  body[32] = 0x34;
  body[52] = 0xec;
  identifyPage(state).copy(body, 56);
  return body;
}
