import type { ByteRun } from './figure-bytes.js';

/** What a byte is to a figure: part of it, deciding whether it counts, its page's checksum. */
export type ByteMark = 'figure' | 'deciding' | 'checksum' | null;

export interface HexByte {
  readonly hex: string;
  readonly mark: ByteMark;
}

/** Sixteen bytes of a page, or a stretch of rows without any mark that is left out. */
export type HexRow =
  | { readonly offset: number; readonly bytes: readonly HexByte[] }
  | { readonly leftOut: ByteRun };

export interface MarkedBytes {
  readonly data: Uint8Array;
  readonly fields: readonly ByteRun[];
  readonly deciding: readonly ByteRun[];
  readonly checksums: readonly number[];
}

const rowBytes = 16;

/** The bytes of a page in rows of 16. Rows without a mark are left out unless `all` are wanted. */
export function hexRows(marks: MarkedBytes, all: boolean): readonly HexRow[] {
  const rows: HexRow[] = [];
  for (let offset = 0; offset < marks.data.length; offset += rowBytes) {
    const bytes = rowOf(marks, offset);
    const last = rows.at(-1);
    if (all || bytes.some(({ mark }) => mark !== null)) rows.push({ offset, bytes });
    else {
      const leftOut = { from: offset, to: offset + bytes.length - 1 };
      if (last !== undefined && 'leftOut' in last) {
        rows[rows.length - 1] = { leftOut: { from: last.leftOut.from, to: leftOut.to } };
      } else rows.push({ leftOut });
    }
  }
  return rows;
}

function rowOf(marks: MarkedBytes, offset: number): readonly HexByte[] {
  const bytes = marks.data.subarray(offset, offset + rowBytes);
  return Array.from(bytes, (byte, index) => ({
    hex: twoHexDigits(byte),
    mark: markOf(marks, offset + index),
  }));
}

function markOf({ fields, deciding, checksums }: MarkedBytes, at: number): ByteMark {
  const isIn = ({ from, to }: ByteRun) => at >= from && at <= to;
  if (fields.some(isIn)) return 'figure';
  if (deciding.some(isIn)) return 'deciding';
  return checksums.includes(at) ? 'checksum' : null;
}

/** A byte as two hexadecimal digits: "0A". */
export function twoHexDigits(byte: number): string {
  return byte.toString(16).toUpperCase().padStart(2, '0');
}
