import { PageError } from './page-error.js';

/** Checked reading of one page: every read past its end is a PageError, never undefined. */
export interface PageReader {
  readonly record: string;
  readonly length: number;
  u8(offset: number): number;
  s8(offset: number): number;
  le16(offset: number): number;
  le32(offset: number): number;
  le48(offset: number): number;
  le64(offset: number): bigint;
  le128(offset: number): bigint;
  be16(offset: number): number;
  be32(offset: number): number;
  be64(offset: number): bigint;
  text(offset: number, length: number): string;
  part(offset: number, length: number): Uint8Array;
}

/** A Buffer's own `slice` shares its memory, so a plain view of the bytes is read instead. */
export function pageReader(record: string, page: Uint8Array): PageReader {
  const data = new Uint8Array(page.buffer, page.byteOffset, page.byteLength);
  const part = (offset: number, length: number): Uint8Array => {
    if (offset < 0 || length < 0 || offset + length > data.length) {
      throw new PageError(record, `at least ${offset + length} bytes`, `${data.length}`);
    }
    return data.subarray(offset, offset + length);
  };
  const number = (bytes: Uint8Array): number => bytes.reduce((sum, byte) => sum * 256 + byte, 0);
  const little = (offset: number, length: number) => part(offset, length).slice().reverse();
  return {
    record,
    length: data.length,
    u8: (offset) => number(part(offset, 1)),
    s8: (offset) => (number(part(offset, 1)) << 24) >> 24,
    le16: (offset) => number(little(offset, 2)),
    le32: (offset) => number(little(offset, 4)),
    le48: (offset) => number(little(offset, 6)),
    le64: (offset) => wide(little(offset, 8)),
    le128: (offset) => wide(little(offset, 16)),
    be16: (offset) => number(part(offset, 2)),
    be32: (offset) => number(part(offset, 4)),
    be64: (offset) => wide(part(offset, 8)),
    text: (offset, length) => plainText(part(offset, length)),
    part,
  };
}

/** The number when a double holds it exactly, else null: a rounded counter would be invented. */
export function exactNumber(value: bigint): number | null {
  const number = Number(value);
  return BigInt(number) === value ? number : null;
}

/** A count as a number; one that no counter can have reached by counting is null. */
export function countOrNull(value: bigint): number | null {
  return value <= BigInt(Number.MAX_SAFE_INTEGER) ? Number(value) : null;
}

/** Pages with a checksum are made so that all their bytes add up to 0 modulo 256. */
export function requireZeroSum(reader: PageReader, offset = 0, length = 512): void {
  const sum = reader.part(offset, length).reduce((total, byte) => (total + byte) & 0xff, 0);
  if (sum !== 0) {
    const where = `${length} bytes that add up to 00h modulo 256 (the page's checksum)`;
    throw new PageError(reader.record, where, hex(sum));
  }
}

export function hex(value: number, digits = 2): string {
  return `${value.toString(16).toUpperCase().padStart(digits, '0')}h`;
}

export function bit(value: number, index: number): boolean {
  return ((value >>> index) & 1) === 1;
}

export function hexDigits(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

function wide(bytes: Uint8Array): bigint {
  return bytes.reduce((sum, byte) => sum * 256n + BigInt(byte), 0n);
}

// Anything outside printable ASCII would be drawn on pages and terminals, so it becomes a mark.
function plainText(bytes: Uint8Array): string {
  const letters = Array.from(bytes, (byte) => {
    if (byte === 0) return ' ';
    return byte >= 0x20 && byte < 0x7f ? String.fromCharCode(byte) : '?';
  });
  return letters.join('').trim();
}
