import type { ScsiCommand } from '../box.js';

/** The SCSI commands that Bayward sends. SPC and SBC, from memory; numbers are big-endian. */

const recordDeadlineMs = 10_000;

function receive(name: string, cdb: readonly number[], transferBytes: number): ScsiCommand {
  return {
    name,
    cdb: Uint8Array.from(cdb),
    transfer: 'from-drive',
    transferBytes,
    deadlineMs: recordDeadlineMs,
  };
}

/** 96 bytes hold the version descriptors too; every drive may send less. */
export function inquiry(): ScsiCommand {
  return receive('INQUIRY', [0x12, 0, 0, 0, 96, 0], 96);
}

/** A page of vital product data. 89h is 572 bytes long, the others are short. */
export function vitalProductData(page: number): ScsiCommand {
  const bytes = page === 0x89 ? 572 : 252;
  const cdb = [0x12, 1, page, ...twoBytes(bytes), 0];
  return receive(`INQUIRY page ${hexOf(page)}`, cdb, bytes);
}

export function readCapacity16(): ScsiCommand {
  const cdb = [0x9e, 0x10, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 32, 0, 0];
  return receive('READ CAPACITY(16)', cdb, 32);
}

/** Cumulative values of a log page, from its first parameter on. */
export function logSense(page: number, options: { subpage?: number; bytes?: number } = {}) {
  const subpage = options.subpage ?? 0;
  const bytes = options.bytes ?? 4096;
  const cdb = [0x4d, 0, 0x40 | page, subpage, 0, 0, 0, ...twoBytes(bytes), 0];
  const name = `LOG SENSE page ${hexOf(page)}${subpage === 0 ? '' : `/${hexOf(subpage)}`}`;
  return receive(name, cdb, bytes);
}

/**
 * The current values of a mode page, without block descriptors. The command that sets them has no
 * builder here.
 */
export function modeSense(page: number): ScsiCommand {
  const bytes = 252;
  const cdb = [0x5a, 0x08, page, 0, 0, 0, 0, ...twoBytes(bytes), 0];
  return receive(`MODE SENSE(10) page ${hexOf(page)}`, cdb, bytes);
}

/** Answers without touching the medium, in standby too. */
export function requestSense(): ScsiCommand {
  return receive('REQUEST SENSE', [0x03, 0, 0, 0, 96, 0], 96);
}

export function testUnitReady(): ScsiCommand {
  return {
    name: 'TEST UNIT READY',
    cdb: new Uint8Array(6),
    transfer: 'none',
    transferBytes: 0,
    deadlineMs: recordDeadlineMs,
  };
}

/** Only the head of the grown defect list: 8 bytes that hold its length. Short block format. */
export function readDefectHeader(): ScsiCommand {
  return receive('READ DEFECT DATA(12)', [0xb7, 0x08, 0, 0, 0, 0, ...fourBytes(8), 0, 0], 8);
}

function twoBytes(value: number): readonly number[] {
  return [value >> 8, value & 0xff];
}

function fourBytes(value: number): readonly number[] {
  return [...twoBytes(value >>> 16), ...twoBytes(value & 0xffff)];
}

function hexOf(value: number): string {
  return `${value.toString(16).toUpperCase().padStart(2, '0')}h`;
}
