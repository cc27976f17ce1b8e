import { selfTestStatus } from './ata-smart.js';
import { type PageReader, pageReader, requireZeroSum } from './bytes.js';
import { PageError } from './page-error.js';

export interface AtaSelfTest {
  /** The number that started the test: 1 short, 2 extended, 3 conveyance; 81h and up captive. */
  readonly test: number;
  /** 0 completed, 1 to 8 stopped or failed, 15 in progress. */
  readonly code: number;
  readonly percentLeft: number;
  /** Power-on hours at the end of the test: 16 bits, so they wrap at 65 536. */
  readonly hours: number;
  /** First failing sector; only a read failure (code 7) has one. */
  readonly failingLba: number | null;
}

interface Shape {
  readonly entryBytes: number;
  readonly lbaBytes: 4 | 6;
}

/** SMART self-test log 06h: 21 entries of 24 bytes (HGST HC580 p. 319). Newest first. */
export function decodeSelfTestLog(data: Uint8Array): readonly AtaSelfTest[] {
  const page = pageReader('Self-test log 06h', data);
  requireZeroSum(page);
  const starts = Array.from({ length: 21 }, (_, slot) => 2 + 24 * slot);
  return newestFirst(page, {
    starts,
    newest: page.u8(508),
    shape: { entryBytes: 24, lbaBytes: 4 },
  });
}

/**
 * Extended self-test log 07h: one or more pages with 19 entries of 26 bytes each (HGST HC580
 * p. 205 lists the offsets; its text counts 18, its own offsets hold 19). Newest first.
 */
export function decodeExtendedSelfTestLog(data: Uint8Array): readonly AtaSelfTest[] {
  const page = pageReader('Extended self-test log 07h', data);
  const pages = Math.max(1, Math.floor(data.length / 512));
  const pageStarts = Array.from({ length: pages }, (_, index) => index * 512);
  for (const start of pageStarts) requireZeroSum(page, start);
  const starts = pageStarts.flatMap((start) =>
    Array.from({ length: 19 }, (_, slot) => start + 4 + 26 * slot),
  );
  return newestFirst(page, {
    starts,
    newest: page.le16(2),
    shape: { entryBytes: 26, lbaBytes: 6 },
  });
}

/** The index counts from 1; 0 says that no test was ever kept. An all-zero entry ends the walk. */
function newestFirst(
  page: PageReader,
  log: { readonly starts: readonly number[]; readonly newest: number; readonly shape: Shape },
): readonly AtaSelfTest[] {
  const { starts, newest, shape } = log;
  if (newest > starts.length) {
    throw new PageError(page.record, `an index of 0 to ${starts.length}`, `${newest}`);
  }
  if (newest === 0) return [];
  const order = [...starts.slice(0, newest).reverse(), ...starts.slice(newest).reverse()];
  const empty = order.findIndex((at) =>
    page.part(at, shape.entryBytes).every((byte) => byte === 0),
  );
  return order.slice(0, empty < 0 ? undefined : empty).map((at) => entry(page, at, shape));
}

function entry(page: PageReader, at: number, shape: Shape): AtaSelfTest {
  const status = selfTestStatus(page.u8(at + 1));
  const lba = shape.lbaBytes === 4 ? page.le32(at + 5) : page.le48(at + 5);
  const none = 2 ** (8 * shape.lbaBytes) - 1;
  return {
    test: page.u8(at),
    ...status,
    hours: page.le16(at + 2),
    failingLba: status.code === 7 && lba !== none ? lba : null,
  };
}
