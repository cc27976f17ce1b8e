import type { ByteNumber, ByteRun, FigureField } from './figure-bytes.js';
import { twoHexDigits } from './hex-rows.js';
import { formatNumber } from './units.js';

/** "byte 8" or "bytes 12 to 17". */
export function runWords({ from, to }: ByteRun): string {
  return from === to ? `byte ${from}` : `bytes ${from} to ${to}`;
}

/** Several stretches as a list: "byte 2, bytes 8 to 11". */
export function runsWords(runs: readonly ByteRun[]): string {
  return runs.map(runWords).join(', ');
}

/**
 * What a field holds, in words: "bytes 1 to 2, little-endian, = 310; less 273". Of several fields
 * that make a figure together each tells only what it holds (`isAlone` false).
 */
export function fieldWords(field: FigureField, data: Uint8Array, isAlone: boolean): string {
  const { number, bits } = field;
  if (number === null) {
    const held = data.subarray(field.from, field.to + 1);
    if (bits === null) return `${runWords(field)}, = ${hexWords(held)} in hexadecimal`;
    const [bit = 0, ...more] = bits;
    const state = ((held[0] ?? 0) >>> bit) % 2 === 1 ? 'set' : 'not set';
    const words = more.length === 0 ? state : `the byte is ${hexWords(held)} in hexadecimal`;
    return `${bitsWords(bits)} of ${runWords(field)}, ${words}`;
  }
  const order = number.order === null ? '' : `, ${number.order}`;
  const held = signedOf(field, number);
  const rest = isAlone ? reckoning({ ...number, plus: held.plus }) : '';
  return `${runWords(field)}${order}, = ${held.words}${rest}`;
}

function bitsWords(bits: readonly number[]): string {
  const [first = 0] = bits;
  const last = bits.at(-1) ?? first;
  if (bits.length === 1) return `bit ${first}`;
  return last - first === bits.length - 1 ? `bits ${first} to ${last}` : `bits ${bits.join(', ')}`;
}

/** A number below zero is the whole number less all that its bytes can hold. */
function signedOf({ from, to }: ByteRun, { number, times, plus }: ByteNumber) {
  const span = 256n ** BigInt(to - from + 1);
  const isSigned = plus !== 0 && plus === -Number(span) * times;
  const held = isSigned ? number - span : number;
  const isExact = held <= BigInt(Number.MAX_SAFE_INTEGER);
  const digits = isExact ? formatNumber(Number(held)) : held.toString();
  return { words: isSigned ? `${digits}, with a sign` : digits, plus: isSigned ? 0 : plus };
}

function reckoning({ times, plus }: Pick<ByteNumber, 'times' | 'plus'>): string {
  const steps = [
    timesWords(times),
    plus === 0 ? '' : `${plus < 0 ? 'less' : 'plus'} ${formatNumber(Math.abs(plus), 3)}`,
  ].filter((step) => step !== '');
  return steps.length === 0 ? '' : `; ${steps.join(', ')}`;
}

function timesWords(times: number): string {
  const divisor = Math.round(1 / times);
  if (Math.abs(times) < 1 && Math.abs(times * divisor - 1) < 1e-4) {
    return `divided by ${formatNumber(divisor)}`;
  }
  return times === 1 ? '' : `times ${formatNumber(times, 3)}`;
}

function hexWords(bytes: Uint8Array): string {
  return Array.from(bytes, twoHexDigits).join(' ');
}
