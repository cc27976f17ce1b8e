import type { DriveIdentity } from '../../checks/capture.js';
import type { DriveSeen } from '../../checks/part.js';
import { isPlaceholderSerial } from './identity-rules.js';

/** A shorter piece of a serial number says too little (our choice). */
const pieceLengthMin = 6;

export interface WhoseQuestion {
  readonly drive: Pick<DriveSeen, 'serial' | 'worldWideName' | 'reachedBy'>;
  /** Who the answers say that they come from. */
  readonly told: Pick<DriveIdentity, 'serial' | 'worldWideName'>;
  /** The serial number that came through the same bridge before, or null. */
  readonly earlier: string | null;
  /** Serial numbers of the other drives of the box. */
  readonly others: readonly string[];
}

/**
 * Why an answer is another drive's and not the one's that was asked, in one sentence; null when it
 * fits, or when too little is told. A USB bridge shows a serial number of its own to the kernel, so
 * through one the drive is known by what it said before. Adapters cut serial numbers short or hand
 * on their letters in swapped pairs or back to front: each still fits. Pure.
 */
export function whyOtherDrive({ drive, told, earlier, others }: WhoseQuestion): string | null {
  if (told.serial === null || isPlaceholderSerial(told.serial)) return null;
  const expected = drive.reachedBy === 'usb' ? (earlier ?? drive.serial) : drive.serial;
  if (isPlaceholderSerial(expected) || fits(told.serial, expected)) return null;
  const sameName = told.worldWideName !== null && told.worldWideName === drive.worldWideName;
  if (sameName || fits(told.serial, drive.serial)) return null;
  const isNeighbour = others.some(
    (other) => other !== drive.serial && fits(told.serial ?? '', other),
  );
  if (drive.reachedBy === 'usb' && earlier === null && !isNeighbour) return null;
  return `The answers came from a drive with serial number ${told.serial}, expected was ${expected}: nothing in them is believed`;
}

function fits(told: string, expected: string): boolean {
  const [one, other] = [plain(told), plain(expected)];
  const turned = [pairsSwapped(told), [...told].reverse().join('')].map(plain);
  return [one, ...turned].some((serial) => isPiece(serial, other));
}

function isPiece(one: string, other: string): boolean {
  if (one === other) return true;
  const [short, long] = one.length < other.length ? [one, other] : [other, one];
  return short.length >= pieceLengthMin && (long.startsWith(short) || long.endsWith(short));
}

function plain(serial: string): string {
  return serial.trim().toLowerCase();
}

function pairsSwapped(serial: string): string {
  return serial.replaceAll(/(.)(.)/g, '$2$1');
}
