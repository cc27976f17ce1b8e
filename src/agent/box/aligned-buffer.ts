import { addressOf, fixedBuffer } from './ffi.js';

/** A memory page: at least the alignment that any block device asks of O_DIRECT. */
const alignmentBytes = 4096;

/** A zeroed buffer of `bytes` whose first byte lies on a page boundary, as O_DIRECT needs. */
export function makeAlignedBuffer(bytes: number): Uint8Array {
  const room = fixedBuffer(bytes + alignmentBytes);
  const past = Number(addressOf(room) % BigInt(alignmentBytes));
  const start = past === 0 ? 0 : alignmentBytes - past;
  return room.subarray(start, start + bytes);
}
