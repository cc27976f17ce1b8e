import { page } from './sim-bytes.js';
import type { SimParts } from './sim-drive-time.js';

const unknownField = 0x24;

/** Head of 8 bytes without descriptors, then the page; or the code of the refusal. */
export function modePage({ state }: SimParts, asked: number): Buffer | number {
  const body = bodies(state.writeCacheOn)[asked & 0x3f];
  if (body === undefined) return unknownField;
  const head = page(8);
  head.writeUInt16BE(6 + body.length, 0);
  return Buffer.concat([head, Buffer.from(body)]);
}

/** Recovery limit 7 s with 11 and 5 tries; caches on as told; failures are predicted. */
function bodies(writeCacheOn: boolean): Readonly<Record<number, readonly number[]>> {
  const cache = writeCacheOn ? 0x14 : 0x10;
  return {
    1: [0x81, 10, 0xc0, 11, 0, 0, 0, 0, 5, 0, 0x1b, 0x58],
    8: [0x88, 18, cache, ...Array.from({ length: 17 }, () => 0)],
    28: [0x9c, 10, 0x10, ...Array.from({ length: 9 }, () => 0)],
  };
}
