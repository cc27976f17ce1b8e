import { createHash } from 'node:crypto';
import { endBytes } from './signatures.js';

/** Bytes looked at in each sampled place. */
export const sampleBytes = 64 * 1024;

/** A drive up to this size is looked at as a whole. */
export const wholeLookBytesMax = 256 * 1024 * 1024;

export interface SamplePlace {
  readonly fromByte: number;
  readonly bytes: number;
}

/**
 * Where to look before anything is written: both ends whole, 64 fixed fractions of the surface
 * (the same on every drive of a size), 64 places that the seed chooses (so that two looks see
 * different places), in rising order. A small drive is covered without gaps.
 */
export function samplePlaces(
  drive: { readonly sizeBytes: number; readonly sectorBytes: number },
  seed: string,
): readonly SamplePlace[] {
  const { sizeBytes } = drive;
  if (sizeBytes <= wholeLookBytesMax) return pieces(0, sizeBytes);
  const unit = Math.max(drive.sectorBytes, 4096);
  const span = sizeBytes - sampleBytes;
  const fractions = [...fixedFractions(), ...seededFractions(seed)];
  const starts = fractions.map((fraction) => Math.floor((fraction * span) / unit) * unit);
  const inside = [...new Set(starts)]
    .filter((start) => start >= endBytes && start + sampleBytes <= sizeBytes - endBytes)
    .map((fromByte) => ({ fromByte, bytes: sampleBytes }));
  const tailAt = Math.floor((sizeBytes - endBytes) / unit) * unit;
  return [...pieces(0, endBytes), ...inside, ...pieces(tailAt, sizeBytes)].sort(
    (one, other) => one.fromByte - other.fromByte,
  );
}

function pieces(fromByte: number, toByte: number): readonly SamplePlace[] {
  const pieceBytes = 1024 * 1024;
  const found: SamplePlace[] = [];
  for (let at = fromByte; at < toByte; at += pieceBytes) {
    found.push({ fromByte: at, bytes: Math.min(pieceBytes, toByte - at) });
  }
  return found;
}

function fixedFractions(): readonly number[] {
  return Array.from({ length: 64 }, (_, index) => index / 64);
}

function seededFractions(seed: string): readonly number[] {
  return Array.from({ length: 64 }, (_, index) => {
    const digest = createHash('sha256').update(`${seed}|place|${index}`).digest();
    return digest.readUInt32LE(0) / 0x1_0000_0000;
  });
}
