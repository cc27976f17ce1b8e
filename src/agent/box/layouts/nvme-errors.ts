import { countOrNull, pageReader } from './bytes.js';
import { PageError } from './page-error.js';

export interface NvmeLoggedError {
  /** Number of the error since the drive was made; null when no counter can have reached it. */
  readonly count: number | null;
  /** Type in bits 10:8, code in 7:0, as Linux 6.1 include/linux/nvme.h numbers them. */
  readonly status: number;
  readonly lba: bigint;
}

const entryBytes = 64;

/**
 * Error information log 01h: entries of 64 bytes, newest first; count 0 is an empty entry. The
 * status stands above the phase bit (NVM Express, from memory).
 */
export function decodeNvmeErrors(data: Uint8Array): readonly NvmeLoggedError[] {
  const page = pageReader('NVMe error log 01h', data);
  if (page.length === 0 || page.length % entryBytes !== 0) {
    throw new PageError(page.record, `a length in steps of ${entryBytes}`, `${page.length} bytes`);
  }
  const starts = Array.from({ length: page.length / entryBytes }, (_, index) => index * entryBytes);
  return starts
    .filter((at) => page.le64(at) !== 0n)
    .map((at) => ({
      count: countOrNull(page.le64(at)),
      status: (page.le16(at + 12) >>> 1) & 0x7ff,
      lba: page.le64(at + 16),
    }));
}
