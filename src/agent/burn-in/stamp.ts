import { createHash } from 'node:crypto';

/**
 * The stamp at the start of every sector that a burn-in writes: eight 32-bit words in the
 * machine's own order (Linux on x86 and ARM: lowest byte first).
 *
 *     0  magic        1  run key      2  drive key    3  pass
 *     4  LBA, low     5  LBA, high    6  check        7  second check
 *
 * Both checks cover words 0 to 5, so that a stamp is only believed when it is whole.
 */
export const stampWords = 8;
export const stampBytes = 32;

const magic = 0x44_52_57_42;
const firstConstant = 0x9e37_79b1;
const secondConstant = 0x85eb_ca77;

/** What one sector says about who wrote it, and where it was meant to be. */
export interface Stamp {
  readonly runKey: number;
  readonly driveKey: number;
  readonly pass: number;
  readonly lba: number;
}

function mix(value: number, constant: number): number {
  const once = Math.imul(value ^ (value >>> 15), constant);
  return once ^ (once >>> 13);
}

/** The part of the checks that is the same for a whole pass. */
export function checkBase(stamp: Omit<Stamp, 'lba'>): number {
  let sum = mix(magic, firstConstant);
  for (const word of [stamp.runKey, stamp.driveKey, stamp.pass]) {
    sum = mix(sum ^ word, secondConstant) + firstConstant;
  }
  return sum | 0;
}

/** Writes the words of a pass that do not change from sector to sector. */
export function writeFixedWords(words: Uint32Array, at: number, stamp: Omit<Stamp, 'lba'>): void {
  words[at] = magic;
  words[at + 1] = stamp.runKey;
  words[at + 2] = stamp.driveKey;
  words[at + 3] = stamp.pass;
}

/** Writes the words that name the place. `lba` is below 2^53. */
export function writePlaceWords(
  words: Uint32Array,
  at: number,
  place: { readonly lba: number; readonly base: number },
): void {
  const high = Math.floor(place.lba / 0x1_0000_0000);
  const low = place.lba >>> 0;
  words[at + 4] = low;
  words[at + 5] = high;
  const sum = mix(place.base ^ low, firstConstant) + Math.imul(high + 1, secondConstant);
  words[at + 6] = mix(sum, secondConstant);
  words[at + 7] = mix(sum ^ firstConstant, firstConstant);
}

/** Reads the stamp at word `at`, or null when there is no whole one. */
export function readStamp(words: Uint32Array, at: number): Stamp | null {
  if (words[at] !== magic) return null;
  const stamp = {
    runKey: words[at + 1] ?? 0,
    driveKey: words[at + 2] ?? 0,
    pass: words[at + 3] ?? 0,
    lba: (words[at + 5] ?? 0) * 0x1_0000_0000 + (words[at + 4] ?? 0),
  };
  if (!Number.isSafeInteger(stamp.lba)) return null;
  const proof = new Uint32Array(stampWords);
  writePlaceWords(proof, 0, { lba: stamp.lba, base: checkBase(stamp) });
  return words[at + 6] === proof[6] && words[at + 7] === proof[7] ? stamp : null;
}

/** A 32-bit key of a run's seed or of a drive's identity. */
export function keyOf(text: string): number {
  return createHash('sha256').update(text).digest().readUInt32LE(0);
}

export function driveKeyOf(drive: {
  readonly model: string;
  readonly serial: string;
  readonly sizeBytes: number;
}): number {
  return keyOf(`${drive.model.trim()}|${drive.serial.trim()}|${drive.sizeBytes}`);
}
