import type { DriveState } from './drive-state.js';

/** Puts a text into an ATA string field: in each word the first character is the high byte. */
function putAtaText(page: Buffer, text: string, place: { word: number; length: number }): void {
  const padded = text.padEnd(place.length).slice(0, place.length);
  for (let at = 0; at < place.length; at += 2) {
    page[place.word * 2 + at] = padded.charCodeAt(at + 1);
    page[place.word * 2 + at + 1] = padded.charCodeAt(at);
  }
}

/** Makes all bytes of a page of 512 add up to 0 modulo 256 by its last byte. */
export function closeWithChecksum(page: Buffer): Buffer {
  const sum = page.subarray(0, 511).reduce((total, byte) => total + byte, 0);
  page[511] = -sum & 0xff;
  return page;
}

/** Fixed words of IDENTIFY DEVICE: LBA48, SMART with self-test and logs, SCT status, Gen3 link. */
const fixedWords: readonly (readonly [word: number, value: number])[] = [
  [0, 0x0040],
  [49, 0x0f00],
  [53, 0x0007],
  [75, 31],
  [76, 0x010e],
  [77, 0x0006],
  [80, 0x0ff0],
  [82, 0x4069],
  [83, 0x7400],
  [84, 0x4123],
  [85, 0x4069],
  [86, 0x3400],
  [87, 0x4123],
  [88, 0x407f],
  [106, 0x6003],
  [168, 0x0002],
  [206, 0x0001],
  [222, 0x10ff],
];

/** IDENTIFY DEVICE (words from ACS-3, from memory; checked against what Linux 6.1 libata reads). */
export function identifyPage(state: DriveState): Buffer {
  const page = Buffer.alloc(512);
  for (const [word, value] of fixedWords) page.writeUInt16LE(value, word * 2);
  putAtaText(page, state.serial, { word: 10, length: 20 });
  putAtaText(page, state.firmware, { word: 23, length: 8 });
  putAtaText(page, state.model, { word: 27, length: 40 });
  page.writeUInt32LE(Math.min(state.medium.sectors, 0x0fff_ffff), 60 * 2);
  page.writeBigUInt64LE(BigInt(state.medium.sectors), 100 * 2);
  for (let word = 0; word < 4; word += 1) {
    const part = (state.worldWideName >> BigInt(48 - 16 * word)) & 0xffffn;
    page.writeUInt16LE(Number(part), (108 + word) * 2);
  }
  page.writeUInt16LE(state.rotationRpm, 217 * 2);
  page[510] = 0xa5;
  return closeWithChecksum(page);
}
