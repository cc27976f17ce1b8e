import { bit, hex, type PageReader, pageReader } from './bytes.js';
import { PageError } from './page-error.js';

/*
 * Pages of the IDENTIFY DEVICE data log 30h beside the capacity. In pages 02h and up each figure is
 * 8 bytes of which the highest bit says that it is filled in. Pages 03h, 04h and 08h hold bits that
 * no document at hand names: they are kept as bytes, meaning not known.
 */

/** Page 05h: who the drive is, a second time. An empty text tells nothing. */
export interface IdentifyStrings {
  readonly serial: EitherOrder;
  readonly firmware: EitherOrder;
  readonly model: EitherOrder;
}

/** First with the letters of each word turned round, as in IDENTIFY DEVICE, then as they lie. */
export type EitherOrder = readonly [turned: string, asTheyLie: string];

/** Places of the three texts: ACS-3, from memory; that does not tell us the order of letters. */
export function decodeIdentifyStrings(data: Uint8Array): IdentifyStrings | null {
  const page = identifyPage(data, 5);
  if (page === null) return null;
  return {
    serial: eitherOrder(page, 8, 20),
    firmware: eitherOrder(page, 32, 8),
    model: eitherOrder(page, 48, 40),
  };
}

/** Page 06h, bytes 40 to 47, bit 0: Trusted Computing (Linux libata-core.c, from memory). */
export function decodeTrustedComputing(data: Uint8Array): boolean | null {
  const page = identifyPage(data, 6);
  const filled = page === null ? null : filledIn(page, 40);
  return filled === null ? null : (filled & 1n) === 1n;
}

/**
 * Page 09h, bytes 40 to 47: how many zones may be written at a time at most, in a drive that writes
 * in zones (Linux libata-core.c ata_dev_config_zac, from memory); null where it tells no number.
 */
export function decodeOpenZones(data: Uint8Array): number | null {
  const page = identifyPage(data, 9);
  const filled = page === null ? null : filledIn(page, 40);
  if (filled === null) return null;
  const most = Number(filled & 0xffff_ffffn);
  return most === 0 || most === 0xffff_ffff ? null : most;
}

/** Page 02h, bytes 32 to 39: the drive's own memory in bytes (ACS-3, from memory). */
export function decodeOwnMemory(data: Uint8Array): number | null {
  const page = identifyPage(data, 2);
  const bytes = page === null ? null : filledIn(page, 32);
  if (bytes === null) return null;
  // Our bounds: drives are made with 64 KiB to 64 GiB of it; anything else is another field.
  const plausible = bytes >= 65_536n && bytes <= 68_719_476_736n;
  return plausible ? Number(bytes) : null;
}

/** The page's own number stands in byte 2; null when the drive does not keep the page. */
function identifyPage(data: Uint8Array, number: number): PageReader | null {
  const page = pageReader(`IDENTIFY DEVICE data page ${number}`, data);
  page.part(0, 512);
  if (!bit(page.u8(7), 7)) return null;
  if (page.u8(2) === number) return page;
  throw new PageError(page.record, `page number ${number} in byte 2`, hex(page.u8(2)));
}

function filledIn(page: PageReader, offset: number): bigint | null {
  const value = page.le64(offset);
  return value >> 63n === 0n ? null : value & 0x7fff_ffff_ffff_ffffn;
}

function eitherOrder(page: PageReader, offset: number, length: number): EitherOrder {
  const turned = page.part(offset, length).slice();
  for (let at = 0; at + 1 < length; at += 2) turned.subarray(at, at + 2).reverse();
  return [pageReader(page.record, turned).text(0, length), page.text(offset, length)];
}
