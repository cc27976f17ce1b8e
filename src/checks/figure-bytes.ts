import type { RawPage } from './capture.js';
import type { Reading } from './reading.js';

/** Bytes of a page that follow each other, from `from` to `to`, both among them. */
export interface ByteRun {
  readonly from: number;
  readonly to: number;
}

/** How bytes make the number of a figure: value = number × times + plus. */
export interface ByteNumber {
  /** Null for one byte, which has no order. */
  readonly order: 'little-endian' | 'big-endian' | null;
  /** The bytes as a whole number without a sign, read in that order. */
  readonly number: bigint;
  readonly times: number;
  readonly plus: number;
}

/** A stretch of bytes that makes a figure, or a part of it. */
export interface FigureField extends ByteRun {
  /** Null where the bytes are no plain number: codes, flags, packed or joined fields. */
  readonly number: ByteNumber | null;
  /** Bits that matter, lowest first, where it is one byte and not all of them do. */
  readonly bits: readonly number[] | null;
}

/** The bytes of one page that matter for a figure. */
export interface PageMarks {
  readonly page: RawPage;
  readonly fields: readonly FigureField[];
  /** Bytes that decide whether the figure counts, or which record tells it. */
  readonly deciding: readonly ByteRun[];
  /** Last bytes of blocks that are refused when their sum is wrong. */
  readonly checksums: readonly number[];
}

export interface FigureBytes {
  readonly reading: Reading;
  /** Pages that hold the figure come first. */
  readonly pages: readonly PageMarks[];
}
