import { hex, pageReader } from './bytes.js';
import { PageError } from './page-error.js';
import { readSense } from './sense.js';

/** Entries in the grown defect list by the head of READ DEFECT DATA(12); null without a list. */
export function decodeDefectHeader(data: Uint8Array): number | null {
  const page = pageReader('Defect list', data);
  const flags = page.u8(1);
  const bytes = page.be32(4);
  if ((flags & 0x08) === 0) return null;
  // Short block format (0) keeps 4 bytes an entry, the others 8 (Seagate Rev. J p. 161); the two
  // long formats that keep more are not asked for.
  const entryBytes = (flags & 0b111) === 0 ? 4 : 8;
  if (bytes % entryBytes !== 0) {
    throw new PageError(page.record, `a length in steps of ${entryBytes}`, `${bytes}`);
  }
  return bytes / entryBytes;
}

export interface DriveCondition {
  /** As CHECK POWER MODE would tell it: 00h standby to FFh active; null when it is not told. */
  readonly powerMode: number | null;
  /** Percent of a running self-test that is done; null when none is reported. */
  readonly selfTestPercentDone: number | null;
}

/** Conditions of code 5Eh by qualifier as power modes (SPC-4 and later, from memory). */
const lowPower: Readonly<Record<number, number>> = {
  1: 0x81,
  2: 0x00,
  3: 0x81,
  4: 0x00,
  5: 0x82,
  6: 0x82,
  7: 0x83,
  8: 0x83,
  9: 0x01,
  10: 0x01,
};

/** REQUEST SENSE: whether the spindle stands, and a running self-test's progress. */
export function decodeRequestSense(data: Uint8Array): DriveCondition {
  const sense = readSense(data);
  if (sense === null) {
    const found = data.length === 0 ? '0 bytes' : hex(data[0] ?? 0);
    throw new PageError('REQUEST SENSE', 'sense data of format 70h to 73h', found);
  }
  // Code and qualifier lie in bytes 12 and 13: without them the sense says nothing of a state.
  if (sense.format === 'fixed') pageReader('REQUEST SENSE', data).part(0, 14);
  const testing = sense.code === 0x04 && sense.qualifier === 0x09;
  return {
    powerMode: powerMode(sense),
    selfTestPercentDone: testing && sense.format === 'fixed' ? progress(data) : null,
  };
}

function powerMode(sense: { key: number; code: number; qualifier: number }): number | null {
  if (sense.key === 0 && sense.code === 0x5e) return lowPower[sense.qualifier] ?? null;
  if (sense.key === 2 && sense.code === 0x04 && sense.qualifier === 0x02) return 0x00;
  return sense.key === 0 && sense.code === 0 ? 0xff : null;
}

// Bytes 15 to 17 of the fixed format: valid bit, then the share done in 65 536ths.
function progress(data: Uint8Array): number | null {
  const page = pageReader('REQUEST SENSE', data);
  if (page.length < 18 || (page.u8(15) & 0x80) === 0) return null;
  return Math.floor((page.be16(16) * 100) / 65_536);
}
