import { page, putLittle, withChecksum } from './sim-bytes.js';
import type { SimDriveState } from './sim-drive-state.js';

/** The drive's own logs of errors, of which it keeps the newest few and the count of all. */
interface Errors {
  /** Numbers of the errors that are still kept, oldest first; the first error ever is 1. */
  readonly kept: readonly number[];
  readonly count: number;
}

function errorsOf(count: number, places: number): Errors {
  const kept = Array.from({ length: Math.min(count, places) }, (_, index) => count - index);
  return { count, kept: kept.reverse() };
}

/** Where an error was: one of the sectors that wait for a rewrite, else a place of its own. */
function placeOf({ pendingSectors }: SimDriveState, number: number): number {
  const known = [...pendingSectors];
  return known[(number - 1) % Math.max(1, known.length)] ?? 4096 * number;
}

const readExtended = 0x25;
const unreadable = 0x40;
const readyWithError = 0x51;
const countMax = 0xffff;

/** Log 01h: five places of 90 bytes from byte 2, the newest named in byte 1, the count at 452. */
export function summaryErrorLog(state: SimDriveState): Buffer {
  const bytes = page(512);
  const { kept, count } = errorsOf(state.uncorrectableErrorsReported, 5);
  bytes[0] = 1;
  bytes[1] = count === 0 ? 0 : ((count - 1) % 5) + 1;
  for (const number of kept) {
    const at = 2 + 90 * ((number - 1) % 5);
    bytes[at + 55] = readExtended;
    bytes[at + 61] = unreadable;
    putLittle(bytes, { at: at + 63, length: 3 }, placeOf(state, number) % 2 ** 24);
    bytes[at + 67] = readyWithError;
    bytes[at + 87] = 3;
    bytes.writeUInt16LE(Math.floor(state.powerOnHours) & 0xffff, at + 88);
  }
  bytes.writeUInt16LE(Math.min(count, countMax), 452);
  return withChecksum(bytes);
}

/** Log 03h: four places of 124 bytes from byte 4, the newest named at 2, the count at 500. */
export function extendedErrorLog(state: SimDriveState): Buffer {
  const bytes = page(512);
  const { kept, count } = errorsOf(state.uncorrectableErrorsReported, 4);
  bytes[0] = 1;
  bytes.writeUInt16LE(count === 0 ? 0 : ((count - 1) % 4) + 1, 2);
  for (const number of kept) {
    const at = 4 + 124 * ((number - 1) % 4);
    bytes[at + 84] = readExtended;
    bytes[at + 91] = unreadable;
    putPairedPlace(bytes, at + 94, placeOf(state, number));
    bytes[at + 101] = readyWithError;
    bytes[at + 121] = 3;
    bytes.writeUInt16LE(Math.floor(state.powerOnHours) & 0xffff, at + 122);
  }
  bytes.writeUInt16LE(Math.min(count, countMax), 500);
  return withChecksum(bytes);
}

/** The six bytes of a place as registers hold them: low and high byte of each beside each other. */
function putPairedPlace(bytes: Buffer, at: number, place: number): void {
  const plain = page(6);
  putLittle(plain, { at: 0, length: 6 }, place);
  for (const [index, from] of [0, 3, 1, 4, 2, 5].entries()) bytes[at + index] = plain[from] ?? 0;
}

/** Log 01h of an NVMe drive: entries of 64 bytes, newest first; type 2, code 81h above bit 0. */
export function nvmeErrorLog(state: SimDriveState, entries: number): Buffer {
  const bytes = page(64 * entries);
  const newestFirst = [...errorsOf(state.mediaErrors, entries).kept].reverse();
  for (const [index, number] of newestFirst.entries()) {
    putLittle(bytes, { at: 64 * index, length: 8 }, number);
    bytes.writeUInt16LE(0x281 << 1, 64 * index + 12);
    putLittle(bytes, { at: 64 * index + 16, length: 8 }, placeOf(state, number));
    bytes.writeUInt32LE(1, 64 * index + 24);
  }
  return bytes;
}
