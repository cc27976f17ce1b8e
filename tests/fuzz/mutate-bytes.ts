import type { Chance } from './chance.js';

const bytesMax = 4608;
const oddBytes = [0x00, 0x01, 0x7f, 0x80, 0xfe, 0xff] as const;

type Change = (bytes: Uint8Array, chance: Chance, other: Uint8Array) => Uint8Array;

/**
 * A page with one to four things wrong: flips, cuts, lengths that lie, pieces of another page,
 * stretches filled up, or nothing but noise. Where the page carries a checksum it is made right
 * again most of the time, or no damage would ever be seen behind it.
 */
export function damagedPage(
  seeds: readonly Uint8Array[],
  chance: Chance,
  mend: ((page: Uint8Array) => void) | null,
): Uint8Array {
  if (seeds.length === 0 || chance.oneIn(64)) return noise(chance);
  const any = () => seeds[chance.below(seeds.length)] ?? new Uint8Array();
  let bytes: Uint8Array = any().slice();
  for (let left = chance.below(5); left > 0; left -= 1) {
    bytes = chance.pick(changes)(bytes, chance, any());
  }
  if (mend !== null && !chance.oneIn(4)) mend(bytes);
  return bytes;
}

function noise(chance: Chance): Uint8Array {
  return Uint8Array.from({ length: chance.below(640) }, () => chance.below(256));
}

const changes: readonly [Change, ...Change[]] = [
  flipBit,
  flipBit,
  setByte,
  setByte,
  nearTheHead,
  cut,
  lieAboutLength,
  lieAboutLength,
  lengthen,
  splice,
  fill,
  move,
];

function flipBit(bytes: Uint8Array, chance: Chance): Uint8Array {
  const at = chance.below(bytes.length);
  if (bytes.length > 0) bytes[at] = (bytes[at] ?? 0) ^ (1 << chance.below(8));
  return bytes;
}

function setByte(bytes: Uint8Array, chance: Chance): Uint8Array {
  const value = chance.oneIn(2) ? chance.pick(oddBytes) : chance.below(256);
  if (bytes.length > 0) bytes[chance.below(bytes.length)] = value;
  return bytes;
}

/** Heads decide how the rest is read, so their bytes are changed more often than others. */
function nearTheHead(bytes: Uint8Array, chance: Chance): Uint8Array {
  const head = Math.min(bytes.length, 32);
  if (head > 0) bytes[chance.below(head)] = chance.below(256);
  return bytes;
}

function cut(bytes: Uint8Array, chance: Chance): Uint8Array {
  const near = chance.oneIn(2) ? Math.min(bytes.length, 8) : bytes.length;
  return bytes.slice(0, bytes.length - chance.below(near + 1));
}

/** One or two bytes, in either order, become a length near the page's own or near a limit. */
function lieAboutLength(bytes: Uint8Array, chance: Chance): Uint8Array {
  if (bytes.length < 2) return bytes;
  const at = chance.below(Math.min(bytes.length - 1, chance.oneIn(2) ? 64 : bytes.length - 1));
  const near = bytes.length + chance.below(17) - 8;
  const length = chance.pick([0, 1, near, near, 0x7fff, 0xffff, bytes.length * 2]) & 0xffff;
  if (chance.oneIn(3)) bytes[at] = length & 0xff;
  else bytes.set(chance.oneIn(2) ? [length >> 8, length & 0xff] : [length & 0xff, length >> 8], at);
  return bytes;
}

function lengthen(bytes: Uint8Array, chance: Chance): Uint8Array {
  const more = chance.oneIn(4) ? 512 : chance.below(64);
  const longer = new Uint8Array(Math.min(bytes.length + more, bytesMax));
  longer.set(bytes.subarray(0, longer.length));
  if (chance.oneIn(2)) longer.fill(chance.below(256), bytes.length);
  return longer;
}

function splice(bytes: Uint8Array, chance: Chance, other: Uint8Array): Uint8Array {
  const from = chance.below(other.length + 1);
  const to = chance.oneIn(2) ? from : chance.below(bytes.length + 1);
  const tail = other.subarray(from, from + bytesMax - Math.min(to, bytes.length));
  const joined = new Uint8Array(Math.min(to, bytes.length) + tail.length);
  joined.set(bytes.subarray(0, Math.min(to, bytes.length)));
  joined.set(tail, Math.min(to, bytes.length));
  return joined;
}

function fill(bytes: Uint8Array, chance: Chance): Uint8Array {
  const from = chance.below(bytes.length + 1);
  return bytes.fill(chance.pick(oddBytes), from, from + 1 + chance.below(chance.oneIn(4) ? 64 : 8));
}

function move(bytes: Uint8Array, chance: Chance): Uint8Array {
  const from = chance.below(bytes.length + 1);
  return bytes.copyWithin(chance.below(bytes.length + 1), from, from + chance.below(32));
}

/** The last byte of each 512 is set so that they add up to 0 modulo 256. */
export function mendBlocks(bytes: Uint8Array): void {
  for (let start = 0; start + 512 <= bytes.length; start += 512) {
    bytes[start + 511] = -sumOf(bytes, start, start + 511) & 0xff;
  }
}

/** Sets the byte at `at` to the low byte of the sum of those from `from` on. */
export function mendSum(bytes: Uint8Array, from: number, at: number): void {
  if (at < bytes.length) bytes[at] = sumOf(bytes, from, at) & 0xff;
}

function sumOf(bytes: Uint8Array, from: number, end: number): number {
  let sum = 0;
  for (let at = from; at < end; at += 1) sum += bytes[at] ?? 0;
  return sum;
}
