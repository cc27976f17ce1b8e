import type { RawPage } from '../../checks/capture.js';
import type { ByteNumber } from '../../checks/figure-bytes.js';

/** A byte that a figure depends on. */
export interface MarkedByte {
  readonly at: number;
  /** Another value of it makes another number, or other words of a code. */
  readonly isFigure: boolean;
  /** Bits that matter, lowest first. */
  readonly bits: readonly number[];
  /** For each bit, lowest first, the figure when it is turned over; null when there was none. */
  readonly withBit: readonly (number | null)[];
}

/** Figures are rounded to a tenth at most: by so much may one be off. */
const roundedBy = 0.06;

/** One byte of a number: what it holds, and how far the figure moves by each of its bits. */
interface Digit {
  readonly value: number;
  readonly weights: readonly (number | null)[];
}

/**
 * The number that bytes hold together, in whichever order it moves the figure as it should: turning
 * over bit k of the byte at place n must move it by 2^k times 256^n. Null when they hold none.
 */
export function numberOf(
  run: readonly MarkedByte[],
  figure: number,
  page: RawPage,
): ByteNumber | null {
  const digits = run.map(({ at, withBit }) => digitOf(page.data[at] ?? 0, withBit, figure));
  const orders = run.length === 1 ? [null] : (['little-endian', 'big-endian'] as const);
  for (const order of orders) {
    const highestFirst = order === 'little-endian' ? digits.toReversed() : digits;
    const times = stepOf(highestFirst);
    if (times === null) continue;
    const number = highestFirst.reduce((sum, { value }) => sum * 256n + BigInt(value), 0n);
    const rest = figure - Number(number) * times;
    return { order, number, times, plus: Math.abs(rest) <= roundedBy ? 0 : rest };
  }
  return null;
}

function digitOf(value: number, withBit: MarkedByte['withBit'], figure: number): Digit {
  const weights = withBit.map((changed, bit) => {
    if (changed === null) return null;
    return (value >>> bit) % 2 === 0 ? changed - figure : figure - changed;
  });
  return { value, weights };
}

/** The highest bit but one of the highest byte: the highest of all may be a sign. */
const bestBits = [6, 5, 4, 3, 2, 1, 0] as const;

/** What one more is worth, or null when the bits do not move the figure as those of a number do. */
function stepOf(highestFirst: readonly Digit[]): number | null {
  const [highest] = highestFirst;
  const best = bestBits.find((bit) => typeof highest?.weights[bit] === 'number');
  if (highest === undefined || best === undefined) return null;
  const places = highestFirst.length - 1;
  const step = (highest.weights[best] ?? 0) / 2 ** best / 256 ** places;
  if (step === 0) return null;
  const fits = highestFirst.every(({ weights }, index) =>
    weights.every((weight, bit) => {
      // A number may grow too large to count, or below zero, by its highest byte alone.
      if (index === 0 && (weight === null || bit === 7)) return true;
      if (weight === null) return false;
      const expected = step * 2 ** bit * 256 ** (places - index);
      return Math.abs(weight - expected) <= roundedBy + 1e-6 * Math.abs(expected);
    }),
  );
  return fits ? step : null;
}
