import type { RawPage } from '../../checks/capture.js';

/** A stretch of 512 bytes whose last byte makes all of them add up to 0 modulo 256. */
export interface SummedBlock {
  readonly start: number;
}

const blockBytes = 512;

/** INQUIRY page 89h holds such a block from byte 60 on (Linux 6.1 drivers/hwmon/drivetemp.c). */
function firstBlock({ record, page }: RawPage): number {
  return record === 'vpd' && page === 0x89 ? 60 : 0;
}

/** Where the page may end in a checksum by its sums; only its decoder knows whether it does. */
export function summedBlocks(page: RawPage): readonly SummedBlock[] {
  const blocks: SummedBlock[] = [];
  const { data } = page;
  for (let start = firstBlock(page); start + blockBytes <= data.length; start += blockBytes) {
    const block = data.subarray(start, start + blockBytes);
    if (sumOf(block) === 0) blocks.push({ start });
  }
  return blocks;
}

export function checksumByte({ start }: SummedBlock): number {
  return start + blockBytes - 1;
}

export interface Change {
  readonly from: number;
  readonly to: number;
  /** Bits that are turned over in each byte from `from` up to, not including, `to`. */
  readonly mask: number;
}

/** The page with some bits turned over and the checksums of its blocks put right again. */
export function changePage(page: RawPage, change: Change, blocks: readonly SummedBlock[]): RawPage {
  const data = page.data.slice();
  for (let at = change.from; at < change.to; at += 1) data[at] = (data[at] ?? 0) ^ change.mask;
  for (const block of blocks) {
    if (change.to > block.start && change.from <= checksumByte(block)) putRight(data, block);
  }
  return { ...page, data };
}

function putRight(data: Uint8Array, block: SummedBlock): void {
  const last = checksumByte(block);
  data[last] = 0x100 - sumOf(data.subarray(block.start, last));
}

function sumOf(bytes: Uint8Array): number {
  return bytes.reduce((sum, byte) => (sum + byte) & 0xff, 0);
}
