import { bit, hex, type PageReader, pageReader } from './bytes.js';
import { PageError } from './page-error.js';

const headBytes = 8;

/** One mode page as MODE SENSE(10) gave it, and whether the drive refuses writes. */
interface ModePage {
  readonly body: PageReader;
  readonly writeProtected: boolean;
}

/**
 * MODE SENSE(10): a head of 8 bytes (0-1 length, 3 bit 7 write protection, 6-7 length of the block
 * descriptors), the descriptors, then the page: code, length, fields (SPC, from memory; the places
 * as Linux 6.1 drivers/scsi/scsi_lib.c scsi_mode_sense reads them).
 */
function modePage(data: Uint8Array, code: number): ModePage {
  const page = pageReader(`Mode page ${hex(code)}`, data);
  const at = headBytes + page.be16(6);
  const found = page.u8(at) & 0x7f;
  if (found !== code) {
    throw new PageError(page.record, `page code ${hex(code)} in byte ${at}`, hex(found));
  }
  const bytes = 2 + page.u8(at + 1);
  return {
    body: pageReader(page.record, page.part(at, bytes)),
    writeProtected: bit(page.u8(3), 7),
  };
}

export interface ErrorRecoveryMode {
  /** As the drive gives it: 0 and 65 535 are no limit that it tells. */
  readonly limitMs: number;
  readonly readRetries: number;
  readonly writeRetries: number;
  readonly movesOnWrite: boolean;
  readonly movesOnRead: boolean;
  readonly writeProtected: boolean;
}

/**
 * Page 01h: byte 2 bits 7 and 6 move a bad place when writing and reading, 3 and 8 retries, 10-11
 * the time limit in ms (SBC, from memory).
 */
export function decodeErrorRecoveryMode(data: Uint8Array): ErrorRecoveryMode {
  const { body, writeProtected } = modePage(data, 0x01);
  return {
    limitMs: body.be16(10),
    readRetries: body.u8(3),
    writeRetries: body.u8(8),
    movesOnWrite: bit(body.u8(2), 7),
    movesOnRead: bit(body.u8(2), 6),
    writeProtected,
  };
}

export interface CachingMode {
  readonly writeCache: boolean;
  readonly readCache: boolean;
  readonly readAhead: boolean;
}

/**
 * Page 08h: byte 2 bit 2 write cache on, bit 0 read cache off (Linux 6.1 drivers/scsi/sd.c
 * sd_read_cache_type); byte 12 bit 5 read ahead off (SBC, from memory).
 */
export function decodeCachingMode(data: Uint8Array): CachingMode {
  const { body } = modePage(data, 0x08);
  return {
    writeCache: bit(body.u8(2), 2),
    readCache: !bit(body.u8(2), 0),
    readAhead: !bit(body.u8(12), 5),
  };
}

export interface ExceptionsMode {
  /** The drive tells when it expects to fail. */
  readonly predicts: boolean;
  readonly warns: boolean;
  /** A made-up failure is being reported, to try the way of the message. */
  readonly testing: boolean;
}

/** Page 1Ch: byte 2 bit 3 prediction off, bit 4 warnings on, bit 2 test (SPC, from memory). */
export function decodeExceptionsMode(data: Uint8Array): ExceptionsMode {
  const { body } = modePage(data, 0x1c);
  const flags = body.u8(2);
  return { predicts: !bit(flags, 3), warns: bit(flags, 4), testing: bit(flags, 2) };
}
