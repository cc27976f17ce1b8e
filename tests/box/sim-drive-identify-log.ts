import { page, putLittle, putSwappedText } from './sim-bytes.js';
import { type SimParts, sectorsOf } from './sim-drive-time.js';

/** Pages 0 to 6 of log 30h, of which 2, 5 and 6 are kept. */
export const identifyLogPages = 7;

const ownMemoryBytes = 256 * 1024 * 1024;

export function identifyLogPage(parts: SimParts, number: number): Buffer {
  const bytes = page(512);
  bytes[0] = 1;
  bytes[2] = number;
  if (number === 0) bytes.set([4, 0, 2, 5, 6], 8);
  else fill(bytes, parts, number);
  return bytes;
}

/** The highest bit of eight bytes says that they are filled in. */
function fill(bytes: Buffer, { nature, state }: SimParts, number: number): void {
  bytes[7] = 0x80;
  if (number === 2) {
    putLittle(bytes, { at: 8, length: 7 }, sectorsOf(nature));
    putLittle(bytes, { at: 32, length: 7 }, ownMemoryBytes);
    bytes[15] = 0x80;
    bytes[39] = 0x80;
  }
  if (number === 5) {
    putSwappedText(bytes, { at: 8, length: 20 }, state.serial.padStart(20));
    putSwappedText(bytes, { at: 32, length: 8 }, state.firmware);
    putSwappedText(bytes, { at: 48, length: 40 }, state.model);
  }
  if (number === 6) bytes[47] = 0x80;
}
