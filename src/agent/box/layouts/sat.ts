import { type Answer, type AtaCommand, type AtaReply, answered, type TaskFile } from '../box.js';
import { transportTrouble } from './scsi-outcome.js';
import { absenceFromSense, readSense } from './sense.js';
import type { ScsiOutcome } from './sg-header.js';

/**
 * ATA commands inside SCSI: ATA PASS-THROUGH(16) and the registers that come back in sense data.
 * Register places: Linux 6.1 drivers/ata/libata-scsi.c; names of the bits: SAT, from memory.
 */

const protocol = { none: 3, 'from-drive': 4, 'to-drive': 5 } as const;

/** Byte 2 for data: direction, length counted in blocks, length given by COUNT. */
const transferFlags = { 'from-drive': 0x0e, 'to-drive': 0x06 } as const;
const wantRegistersFlag = 0x20;

/**
 * The 16 bytes of ATA PASS-THROUGH(16). Registers are never asked for beside data from the
 * drive: one that hands it over well and is asked for registers too ends in an error on some paths.
 */
export function satCommand(command: AtaCommand): Uint8Array {
  const withData = command.transfer === 'none' ? 0 : transferFlags[command.transfer];
  const registers =
    command.transfer !== 'from-drive' && command.wantRegisters ? wantRegistersFlag : 0;
  const lba = lbaBytes(command.lba);
  const cdb = new Uint8Array(16);
  cdb[0] = 0x85;
  cdb[1] = (protocol[command.transfer] << 1) | (command.extend ? 1 : 0);
  cdb[2] = withData | registers;
  cdb[3] = command.extend ? (command.feature >> 8) & 0xff : 0;
  cdb[4] = command.feature & 0xff;
  cdb[5] = command.extend ? (command.count >> 8) & 0xff : 0;
  cdb[6] = command.count & 0xff;
  for (const [low, high] of [0, 1, 2].map((place) => [place, place + 3] as const)) {
    cdb[7 + 2 * low] = command.extend ? (lba[high] ?? 0) : 0;
    cdb[8 + 2 * low] = lba[low] ?? 0;
  }
  cdb[13] = command.device;
  cdb[14] = command.command;
  return cdb;
}

/** The six bytes of an LBA, lowest first. */
export function lbaBytes(lba: number): readonly number[] {
  return [0, 1, 2, 3, 4, 5].map((place) => Math.floor(lba / 256 ** place) % 256);
}

/**
 * What an ATA command brought. A command that asked for registers ends, when all went well, in a
 * check condition whose sense says so and holds them; `registers` is null when the path lost them.
 */
export function satAnswer(command: AtaCommand, outcome: ScsiOutcome): Answer<AtaReply> {
  const trouble = transportTrouble(command.name, outcome);
  if (trouble) return { ok: false, absence: trouble };
  if (outcome.status === 0 || saysSuccess(outcome.sense)) {
    return answered({ data: outcome.data, registers: readRegisters(outcome.sense) });
  }
  return { ok: false, absence: failure(command.name, outcome.sense) };
}

/** Recovered, or no error with code 00h/1Dh: "ATA pass-through information available". */
function saysSuccess(sense: Uint8Array): boolean {
  const read = readSense(sense);
  if (read === null) return false;
  return read.key === 1 || (read.key === 0 && read.code === 0 && read.qualifier === 0x1d);
}

const errorBits = { abort: 0x04, uncorrectable: 0x40, interfaceCrc: 0x80 } as const;

function failure(name: string, sense: Uint8Array) {
  const absence = absenceFromSense(name, sense);
  const registers = readRegisters(sense);
  if (registers === null || (registers.status & 0x01) === 0) return absence;
  if (registers.error & errorBits.interfaceCrc || registers.error & errorBits.uncorrectable) {
    return absence;
  }
  if ((registers.error & errorBits.abort) === 0) return absence;
  return { kind: 'refused' as const, text: `The drive does not do ${name} (it aborted it)`, sense };
}

/**
 * Registers out of sense data in any of three forms: the descriptor of SAT, the fixed format of
 * SAT, and the fixed format as Linux up to about 6.10 misplaced it. Null when there are none, or
 * when a status register that no idle drive could show says that the path made them up.
 */
export function readRegisters(sense: Uint8Array): TaskFile | null {
  const read = readSense(sense);
  if (read === null) return null;
  const registers = read.format === 'descriptor' ? fromDescriptor(sense) : fromFixed(sense);
  return registers !== null && isStatus(registers.status) ? registers : null;
}

/** A finished command leaves "ready" set and "busy" and "data wanted" clear. */
function isStatus(status: number): boolean {
  return (status & 0x40) !== 0 && (status & 0x88) === 0;
}

function fromDescriptor(sense: Uint8Array): TaskFile | null {
  const end = Math.min(sense.length, 8 + byteAt(sense, 7));
  let start = 8;
  while (start + 2 <= end) {
    const length = 2 + byteAt(sense, start + 1);
    if (sense[start] === 0x09 && length >= 14 && start + 14 <= end) {
      return registersAt(sense.subarray(start, start + 14));
    }
    start += length;
  }
  return null;
}

function registersAt(descriptor: Uint8Array): TaskFile {
  const extend = (byteAt(descriptor, 2) & 1) !== 0;
  const upper = (index: number) => (extend ? byteAt(descriptor, index) : 0);
  return {
    error: byteAt(descriptor, 3),
    count: upper(4) * 256 + byteAt(descriptor, 5),
    lba: lbaFrom([
      byteAt(descriptor, 7),
      byteAt(descriptor, 9),
      byteAt(descriptor, 11),
      upper(6),
      upper(8),
      upper(10),
    ]),
    device: byteAt(descriptor, 12),
    status: byteAt(descriptor, 13),
  };
}

function fromFixed(sense: Uint8Array): TaskFile | null {
  if (sense.length < 12) return null;
  if (isStatus(byteAt(sense, 4))) return fromFixedOfSat(sense);
  const informationEmpty = [3, 4, 5, 6].every((index) => byteAt(sense, index) === 0);
  return informationEmpty && sense.length >= 18 ? fromFixedMisplaced(sense) : null;
}

/** Bits 5 and 6 of byte 8 say that upper register bytes were not zero and are not shown. */
function fromFixedOfSat(sense: Uint8Array): TaskFile | null {
  if ((byteAt(sense, 8) & 0x60) !== 0) return null;
  return {
    error: byteAt(sense, 3),
    status: byteAt(sense, 4),
    device: byteAt(sense, 5),
    count: byteAt(sense, 6),
    lba: lbaFrom([byteAt(sense, 9), byteAt(sense, 10), byteAt(sense, 11)]),
  };
}

/** Only failures come this way, cut off after 18 bytes: LBA above the low byte is lost. */
function fromFixedMisplaced(sense: Uint8Array): TaskFile {
  return {
    error: byteAt(sense, 8),
    status: byteAt(sense, 9),
    device: byteAt(sense, 10),
    count: byteAt(sense, 11),
    lba: lbaFrom([byteAt(sense, 17), byteAt(sense, 18), byteAt(sense, 19)]),
  };
}

function lbaFrom(bytes: readonly number[]): number {
  return bytes.reduce((sum, byte, place) => sum + byte * 256 ** place, 0);
}

function byteAt(bytes: Uint8Array, index: number): number {
  return bytes[index] ?? 0;
}
