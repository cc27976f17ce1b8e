import { createCipheriv, createHash } from 'node:crypto';
import type { PlaceErrorKind } from '../../checks/burn-in-result.js';
import {
  checkBase,
  driveKeyOf,
  keyOf,
  readStamp,
  type Stamp,
  stampWords,
  writeFixedWords,
  writePlaceWords,
} from './stamp.js';

/**
 * What an erasing burn-in writes: each sector is a stamp (who, which pass, which place) followed
 * by a pseudo-random filling made from the seed, the pass and the position. One filling of 1 MiB
 * is made per pass and repeated along the drive; per sector only the stamp is new, so that a
 * block is made ready at memory speed.
 */
export const fillingBytes = 1024 * 1024;

export interface PatternOptions {
  /** 32 hexadecimal digits. */
  readonly seed: string;
  readonly pass: number;
  readonly drive: { readonly model: string; readonly serial: string; readonly sizeBytes: number };
  /** The drive's logical block: a multiple of 64 bytes, at most 64 KiB. */
  readonly sectorBytes: number;
}

export interface Pattern {
  readonly sectorBytes: number;
  readonly stamp: Omit<Stamp, 'lba'>;
  readonly base: number;
  readonly filling: Uint8Array;
}

/** A buffer that holds the filling already; `turnedBy` says from which position of it. */
export interface StampedBuffer {
  readonly bytes: Uint8Array;
  readonly words: Uint32Array;
  turnedBy: number | null;
}

export interface Mismatch {
  readonly lba: number;
  readonly kind: PlaceErrorKind;
  /** Where the sector that was found here belongs, for `misplaced`. */
  readonly belongsAt: number | null;
}

export function makePattern(options: PatternOptions): Pattern {
  const { sectorBytes, seed, pass } = options;
  if (sectorBytes % 64 !== 0 || sectorBytes > 65_536 || fillingBytes % sectorBytes !== 0) {
    throw new RangeError(`A pattern needs sectors of 512 or 4096 bytes, found ${sectorBytes}`);
  }
  const stamp = { runKey: keyOf(seed), driveKey: driveKeyOf(options.drive), pass };
  const key = createHash('sha256').update(`${seed}|${pass}`).digest().subarray(0, 16);
  const cipher = createCipheriv('aes-128-ctr', key, Buffer.alloc(16));
  const filling = new Uint8Array(fillingBytes);
  filling.set(cipher.update(Buffer.alloc(fillingBytes)));
  const words = wordsOf(filling);
  for (let at = 0; at < words.length; at += sectorBytes / 4) writeFixedWords(words, at, stamp);
  return { sectorBytes, stamp, base: checkBase(stamp), filling };
}

/** Wraps memory that is aligned to 4 bytes at least, as buffers of the seam are. */
export function stampedBuffer(bytes: Uint8Array): StampedBuffer {
  return { bytes, words: wordsOf(bytes), turnedBy: null };
}

function wordsOf(bytes: Uint8Array): Uint32Array {
  return new Uint32Array(bytes.buffer, bytes.byteOffset, bytes.byteLength >>> 2);
}

/** Makes the whole buffer what the drive must hold from `fromByte` on. */
export function stampBuffer(pattern: Pattern, buffer: StampedBuffer, fromByte: number): void {
  const turnedBy = fromByte % fillingBytes;
  if (buffer.turnedBy !== turnedBy) {
    fill(pattern.filling, buffer.bytes, turnedBy);
    buffer.turnedBy = turnedBy;
  }
  const step = pattern.sectorBytes / 4;
  let lba = fromByte / pattern.sectorBytes;
  for (let at = 0; at < buffer.words.length; at += step) {
    writePlaceWords(buffer.words, at, { lba, base: pattern.base });
    lba += 1;
  }
}

function fill(filling: Uint8Array, target: Uint8Array, turnedBy: number): void {
  let done = 0;
  let from = turnedBy;
  while (done < target.length) {
    const piece = filling.subarray(
      from,
      from + Math.min(filling.length - from, target.length - done),
    );
    target.set(piece, done);
    done += piece.length;
    from = 0;
  }
}

/**
 * Compares what was read with the expected buffer, which `stampBuffer` has made for the same
 * place. Whole blocks are compared at once; only a block that differs is gone through by sector.
 */
export function compareBlock(
  pattern: Pattern,
  blocks: {
    readonly actual: Uint8Array;
    readonly expected: StampedBuffer;
    readonly fromByte: number;
  },
): readonly Mismatch[] {
  const { actual, fromByte } = blocks;
  const expected = blocks.expected.bytes.subarray(0, actual.length);
  if (Buffer.compare(actual, expected) === 0) return [];
  const found: Mismatch[] = [];
  const { sectorBytes } = pattern;
  const words = wordsOf(actual);
  for (let at = 0; at < actual.length; at += sectorBytes) {
    const sector = actual.subarray(at, at + sectorBytes);
    if (Buffer.compare(sector, expected.subarray(at, at + sectorBytes)) === 0) continue;
    found.push(classify(pattern, { sector, words, at, lba: (fromByte + at) / sectorBytes }));
  }
  return found;
}

/**
 * Names what is wrong with one sector that differs. Nothing written (blank) or something that an
 * earlier pass or run left is stale: the write did not arrive. A whole stamp of this pass with
 * another place is misplaced; one of another drive says so; the rest is damaged.
 */
function classify(
  pattern: Pattern,
  place: {
    readonly sector: Uint8Array;
    readonly words: Uint32Array;
    readonly at: number;
    readonly lba: number;
  },
): Mismatch {
  const { lba } = place;
  const stamp = readStamp(place.words, place.at / 4);
  if (stamp === null) {
    return { lba, kind: isBlank(place.sector) ? 'stale' : 'damaged', belongsAt: null };
  }
  if (stamp.driveKey !== pattern.stamp.driveKey)
    return { lba, kind: 'other-drive', belongsAt: null };
  if (stamp.runKey !== pattern.stamp.runKey || stamp.pass !== pattern.stamp.pass) {
    return { lba, kind: 'stale', belongsAt: null };
  }
  if (stamp.lba === lba) return { lba, kind: 'damaged', belongsAt: null };
  return { lba, kind: 'misplaced', belongsAt: stamp.lba };
}

/** All bytes zero, or all bytes FFh: what a drive shows where nothing was ever written. */
export function isBlank(bytes: Uint8Array): boolean {
  const first = bytes[0];
  if (first === undefined) return true;
  if (first !== 0 && first !== 0xff) return false;
  // Each byte equals its neighbour: one native comparison of the block with itself, shifted.
  return Buffer.compare(bytes.subarray(1), bytes.subarray(0, -1)) === 0;
}

/** The stamp of a sector by whoever wrote it, or null. */
export function stampOf(sector: Uint8Array): Stamp | null {
  if (sector.length < stampWords * 4) return null;
  return readStamp(wordsOf(sector), 0);
}

/** First byte within `bytes` of a sector that is neither blank nor stamped by us, or null. */
export function firstUnknown(bytes: Uint8Array, sectorBytes: number): number | null {
  if (isBlank(bytes)) return null;
  const words = wordsOf(bytes);
  for (let at = 0; at < bytes.length; at += sectorBytes) {
    if (readStamp(words, at / 4) !== null) continue;
    if (!isBlank(bytes.subarray(at, at + sectorBytes))) return at;
  }
  return null;
}

/**
 * Whether a drive takes addresses modulo a smaller true size: then places spread over its start
 * all hold what was written later, farther on. One block put in a wrong place does not do that.
 */
export function looksWrapped(
  probes: readonly { readonly lba: number; readonly belongsAt: number | null }[],
): boolean {
  if (probes.length < 4) return false;
  const later = probes.filter(({ lba, belongsAt }) => belongsAt !== null && belongsAt > lba);
  return later.length >= probes.length * 0.75;
}
