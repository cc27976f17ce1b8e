import type { SimNature } from './sim-drive-state.js';

const zones = 24;

/**
 * Rate at a place of a disk recorded in zones. Bits lie evenly on the surface, so the share of
 * the capacity passed grows with the square of the radius and the rate with the radius itself:
 * rate = first × √(1 − x (1 − q²)) with q = last ÷ first, in steps of one zone.
 */
export function rateAt(nature: SimNature, byte: number): number {
  const { firstBytesPerSecond, lastBytesPerSecond } = nature.speed;
  const share =
    Math.min(zones - 1, Math.floor((zones * byte) / nature.capacityBytes)) / (zones - 1);
  const ratio = lastBytesPerSecond / firstBytesPerSecond;
  return firstBytesPerSecond * Math.sqrt(1 - share * (1 - ratio ** 2));
}

/** Numbers between 0 and 1 that follow from the seed alone (a 32-bit mixing generator). */
export function seededChance(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}
