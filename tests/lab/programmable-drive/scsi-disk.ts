import { type MediumOutcome, sectorBytes } from '../faulty-medium.js';
import type { DriveState } from './drive-state.js';
import { ataInformation, passThrough } from './sat-drive.js';
import { good, refused, type ScsiEnd } from './scsi-end.js';
import { fixedSense } from './sense.js';

/** What the drive behind its translator does with one SCSI command and the bytes sent with it. */
export function runScsi(state: DriveState, cdb: Buffer, dataOut: Buffer): ScsiEnd {
  const fixed = fixedAnswers[cdb[0] ?? 0];
  if (fixed !== undefined) return good(fixed === null ? null : Buffer.from(fixed));
  switch (cdb[0]) {
    case 0x03:
      return good(fixedSense([0, 0, 0]));
    case 0x12:
      return inquiry(state, cdb);
    case 0x25:
    case 0x9e:
      return readCapacity(state, cdb);
    case 0x85:
    case 0xa1:
      return passThrough(state, cdb);
    case 0x28:
    case 0x88:
      return readSectors(state, sectorRange(cdb));
    case 0x2a:
    case 0x8a:
      return writeSectors(state, { ...sectorRange(cdb), dataOut });
    default:
      return refused(0x20);
  }
}

/** TEST UNIT READY, flushes and START STOP UNIT succeed; MODE SENSE has no page; one unit. */
const fixedAnswers: Readonly<Record<number, readonly number[] | null>> = {
  0: null,
  27: null,
  29: null,
  53: null,
  145: null,
  26: [3, 0, 0x10, 0],
  90: [0, 6, 0, 0x10, 0, 0, 0, 0],
  160: [0, 0, 0, 8, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0],
};

function inquiry(state: DriveState, cdb: Buffer): ScsiEnd {
  if (((cdb[1] ?? 0) & 1) === 1) return vitalData(state, cdb[2] ?? 0);
  const answer = Buffer.alloc(36, 0x20);
  answer.set([0, 0, 6, 2, 31, 0, 0, 2]);
  answer.write('ATA     ', 8, 'latin1');
  answer.write(state.model.slice(0, 16), 16, 'latin1');
  answer.write(state.firmware.slice(0, 4), 32, 'latin1');
  return good(answer);
}

function vitalData(state: DriveState, page: number): ScsiEnd {
  const body = vitalBody(state, page);
  if (body === null) return refused(0x24);
  const head = Buffer.from([0, page, body.length >> 8, body.length & 0xff]);
  return good(Buffer.concat([head, body]));
}

function vitalBody(state: DriveState, page: number): Buffer | null {
  switch (page) {
    case 0x00:
      return Buffer.from([0x00, 0x80, 0x83, 0x89, 0xb0, 0xb1]);
    case 0x80:
      return Buffer.from(state.serial.padStart(20), 'latin1');
    case 0x83:
      return worldWideName(state);
    case 0x89:
      return ataInformation(state);
    case 0xb0:
      return Buffer.alloc(60);
    case 0xb1:
      return rotation(state);
    default:
      return null;
  }
}

/** One designator: binary, NAA, of the logical unit. */
function worldWideName(state: DriveState): Buffer {
  const body = Buffer.alloc(12);
  body.set([1, 3, 0, 8]);
  body.writeBigUInt64BE(state.worldWideName, 4);
  return body;
}

/** Revolutions a minute, and the form factor 3.5 inch. */
function rotation(state: DriveState): Buffer {
  const body = Buffer.alloc(60);
  body.writeUInt16BE(state.rotationRpm, 0);
  body[3] = 2;
  return body;
}

/** READ CAPACITY (10) and (16); eight logical sectors make a physical one. */
function readCapacity(state: DriveState, cdb: Buffer): ScsiEnd {
  const last = state.medium.sectors - 1;
  if (cdb[0] === 0x25) {
    const answer = Buffer.alloc(8);
    answer.writeUInt32BE(Math.min(last, 0xffff_ffff), 0);
    answer.writeUInt32BE(sectorBytes, 4);
    return good(answer);
  }
  if (((cdb[1] ?? 0) & 0x1f) !== 0x10) return refused(0x24);
  const answer = Buffer.alloc(32);
  answer.writeBigUInt64BE(BigInt(last), 0);
  answer.writeUInt32BE(sectorBytes, 8);
  answer[13] = 3;
  return good(answer);
}

function sectorRange(cdb: Buffer): { sector: number; count: number } {
  const wide = ((cdb[0] ?? 0) & 0x80) !== 0;
  return wide
    ? { sector: Number(cdb.readBigUInt64BE(2)), count: cdb.readUInt32BE(10) }
    : { sector: cdb.readUInt32BE(2), count: cdb.readUInt16BE(7) };
}

function readSectors(state: DriveState, range: { sector: number; count: number }): ScsiEnd {
  if (range.sector + range.count > state.medium.sectors) return refused(0x21);
  spinUp(state);
  return endOf(state.medium.read(range.sector, range.count));
}

/** Rewriting a pending sector heals it: the drive puts a spare one in its place and counts it. */
function writeSectors(
  state: DriveState,
  range: { sector: number; count: number; dataOut: Buffer },
): ScsiEnd {
  if (range.sector + range.count > state.medium.sectors) return refused(0x21);
  if (range.dataOut.length < range.count * sectorBytes) return refused(0x24);
  spinUp(state);
  const { counts } = state.medium;
  const healedBefore = counts.healedSectors;
  const bytes = range.dataOut.subarray(0, range.count * sectorBytes);
  const outcome = state.medium.write(range.sector, bytes);
  state.reallocatedSectors += counts.healedSectors - healedBefore;
  return endOf(outcome);
}

function spinUp(state: DriveState): void {
  if (state.powerMode !== 0) return;
  state.powerMode = 0xff;
  state.woken += 1;
}

/** An unreadable place is MEDIUM ERROR, 11h, with the sector in the information field. */
function endOf(outcome: MediumOutcome): ScsiEnd {
  if (outcome.kind === 'hang') return outcome;
  if (outcome.kind === 'done') return good(outcome.data, outcome.delayMs);
  const sense = fixedSense([3, 0x11, 0], outcome.sector);
  return { kind: 'answer', status: 2, sense, data: null, delayMs: outcome.delayMs };
}
