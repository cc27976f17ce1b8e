import { type PageReader, pageReader, requireZeroSum } from './bytes.js';
import { PageError } from './page-error.js';

/** What an error log keeps: how many errors ever, and the newest of them. */
export interface AtaErrorLog {
  readonly count: number;
  /** Newest first. */
  readonly entries: readonly AtaLoggedError[];
}

export interface AtaLoggedError {
  /** The command that ended with the error. */
  readonly command: number;
  /** Error and status register as the command left them. */
  readonly error: number;
  readonly status: number;
  /** First sector of the trouble; null where the log cannot hold the whole address. */
  readonly lba: number | null;
  /** What the drive was doing, low four bits (HGST HC580 p. 197). */
  readonly state: number;
  /** 16 bits, so they wrap at 65 536 (HGST HC580 p. 318). */
  readonly hours: number;
}

interface Shape {
  readonly starts: readonly number[];
  readonly entryBytes: number;
  readonly read: (page: PageReader, at: number) => AtaLoggedError;
}

/**
 * Summary error log 01h: five entries of 90 bytes from byte 2, count at 452. An entry is five
 * commands of 12 bytes, the newest last, and 30 bytes of error (HGST HC580 p. 318 and 319).
 */
export function decodeErrorLog(data: Uint8Array): AtaErrorLog {
  const page = pageReader('Error log 01h', data);
  requireZeroSum(page);
  const starts = Array.from({ length: 5 }, (_, slot) => 2 + 90 * slot);
  const newest = page.u8(1);
  if (newest > starts.length) throw new PageError(page.record, 'an index of 0 to 5', `${newest}`);
  const entries = newestFirst(page, newest, { starts, entryBytes: 90, read: shortEntry });
  return { count: page.le16(452), entries };
}

/**
 * Extended error log 03h: pages of four entries of 124 bytes from byte 4, count at 500. An entry
 * is five commands of 18 bytes and 34 bytes of error (HGST HC580 p. 197; the command's layout and
 * the places of index and count from memory, ACS).
 */
export function decodeExtendedErrorLog(data: Uint8Array): AtaErrorLog {
  const page = pageReader('Extended error log 03h', data);
  const pages = Math.max(1, Math.floor(data.length / 512));
  const pageStarts = Array.from({ length: pages }, (_, index) => index * 512);
  for (const start of pageStarts) requireZeroSum(page, start);
  const starts = pageStarts.flatMap((start) => [0, 1, 2, 3].map((slot) => start + 4 + 124 * slot));
  const shape = { starts, entryBytes: 124, read: longEntry };
  return { count: page.le16(500), entries: newestFirst(page, page.le16(2), shape) };
}

function newestFirst(page: PageReader, newest: number, shape: Shape): readonly AtaLoggedError[] {
  const { starts } = shape;
  // A log that keeps more pages than were read points past them; then only its count is known.
  if (newest === 0 || newest > starts.length) return [];
  const order = [...starts.slice(0, newest).reverse(), ...starts.slice(newest).reverse()];
  const kept = order.filter((at) => page.part(at, shape.entryBytes).some((byte) => byte !== 0));
  return kept.map((at) => shape.read(page, at));
}

function shortEntry(page: PageReader, at: number): AtaLoggedError {
  const command = page.u8(at + 55);
  const low = page.u8(at + 63) + page.u8(at + 64) * 2 ** 8 + page.u8(at + 65) * 2 ** 16;
  return {
    command,
    error: page.u8(at + 61),
    status: page.u8(at + 67),
    // Three bytes and the device register hold 28 bits: not enough for a 48-bit command.
    lba: isWide(command) ? null : low + (page.u8(at + 66) % 16) * 2 ** 24,
    state: page.u8(at + 87) & 0xf,
    hours: page.le16(at + 88),
  };
}

function longEntry(page: PageReader, at: number): AtaLoggedError {
  const command = page.u8(at + 84);
  // Each register keeps its low and its high byte beside each other.
  const places = [94, 96, 98, 95, 97, 99];
  const wide = places.reduce((sum, place, index) => sum + page.u8(at + place) * 256 ** index, 0);
  const device = page.u8(at + 100);
  return {
    command,
    error: page.u8(at + 91),
    status: page.u8(at + 101),
    lba: isWide(command) ? wide : (wide % 2 ** 24) + (device % 16) * 2 ** 24,
    state: page.u8(at + 121) & 0xf,
    hours: page.le16(at + 122),
  };
}

/** Commands with 48-bit addresses (ACS, from memory). */
const wideCommands = new Set([
  0x24, 0x25, 0x29, 0x2b, 0x2f, 0x34, 0x35, 0x39, 0x3b, 0x3d, 0x3f, 0x42, 0x45, 0x47, 0x57, 0x60,
  0x61, 0x63, 0x64, 0x65, 0xce, 0xea,
]);

function isWide(command: number): boolean {
  return wideCommands.has(command);
}
