import { type PageReader, pageReader, requireZeroSum } from './bytes.js';
import { PageError } from './page-error.js';

/** What an error log tells here: how many errors ever, and the hour stamps of those it keeps. */
export interface AtaErrorLog {
  readonly count: number;
  /** Newest first; 16 bits, so they wrap at 65 536 (HGST HC580 p. 318). */
  readonly hours: readonly number[];
}

interface Shape {
  readonly starts: readonly number[];
  readonly entryBytes: number;
  readonly hoursAt: number;
}

/** Summary error log 01h: five entries of 90 bytes from byte 2, count at 452. */
export function decodeErrorLog(data: Uint8Array): AtaErrorLog {
  const page = pageReader('Error log 01h', data);
  requireZeroSum(page);
  const starts = Array.from({ length: 5 }, (_, slot) => 2 + 90 * slot);
  const newest = page.u8(1);
  if (newest > starts.length) throw new PageError(page.record, 'an index of 0 to 5', `${newest}`);
  const hours = stamps(page, newest, { starts, entryBytes: 90, hoursAt: 88 });
  return { count: page.le16(452), hours };
}

/** Extended error log 03h: pages of four entries of 124 bytes from byte 4, count at 500. */
export function decodeExtendedErrorLog(data: Uint8Array): AtaErrorLog {
  const page = pageReader('Extended error log 03h', data);
  const pages = Math.max(1, Math.floor(data.length / 512));
  const pageStarts = Array.from({ length: pages }, (_, index) => index * 512);
  for (const start of pageStarts) requireZeroSum(page, start);
  const starts = pageStarts.flatMap((start) => [0, 1, 2, 3].map((slot) => start + 4 + 124 * slot));
  const hours = stamps(page, page.le16(2), { starts, entryBytes: 124, hoursAt: 122 });
  return { count: page.le16(500), hours };
}

function stamps(page: PageReader, newest: number, shape: Shape): readonly number[] {
  const { starts } = shape;
  // A log that keeps more pages than were read points past them; then only its count is known.
  if (newest === 0 || newest > starts.length) return [];
  const order = [...starts.slice(0, newest).reverse(), ...starts.slice(newest).reverse()];
  const kept = order.filter((at) => page.part(at, shape.entryBytes).some((byte) => byte !== 0));
  return kept.map((at) => page.le16(at + shape.hoursAt));
}
