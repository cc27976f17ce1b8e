import type { PageReader } from './bytes.js';
import { PageError } from './page-error.js';

/** What a module in a network card's plug says that it is; null where it does not tell. */
export interface ModuleIdentity {
  readonly form: 'SFP' | 'QSFP';
  readonly maker: string;
  readonly model: string;
  readonly revision: string;
  readonly serial: string;
  /** Day it was made, such as 2021-03-04. */
  readonly madeOn: string | null;
  /** The Ethernet that it is for, such as 10GBASE-SR. */
  readonly standard: string | null;
  readonly connector: string | null;
  /** A cable of copper that belongs to its plugs: there is no light. */
  readonly copperCable: boolean;
  readonly wavelengthNanometres: number | null;
}

/** One way of light, as the module measures it; null where it gives no figure. */
export interface ModuleLane {
  readonly sentMicrowatts: number | null;
  readonly receivedMicrowatts: number | null;
  readonly laserMilliamperes: number | null;
  /** The module sees too little light to make anything of it. */
  readonly signalLost: boolean | null;
}

/** Limits past which the module warns. */
export interface ModuleLimits {
  readonly celsiusHighest: number | null;
  readonly sentLowest: number | null;
  readonly sentHighest: number | null;
  readonly receivedLowest: number | null;
  readonly receivedHighest: number | null;
}

export interface ModuleFigures {
  readonly celsius: number | null;
  readonly volts: number | null;
  readonly lanes: readonly ModuleLane[];
  readonly limits: ModuleLimits | null;
}

export interface Module {
  readonly identity: ModuleIdentity;
  /** What it measures of itself, or why it does not. */
  readonly figures: ModuleFigures | { readonly why: string };
}

/** Steps of the figures in both standards: 1/256 °C, 100 µV, 2 µA, 0.1 µW. */
export function celsiusOf(steps: number): number | null {
  const celsius = steps / 256;
  // Our bounds: no module works outside them, and FFFFh and 8000h lie at or past them.
  return celsius < -60 || celsius > 125 ? null : roundTo(celsius, 100);
}

export function voltsOf(steps: number): number | null {
  return isFilled(steps) ? roundTo(steps / 10_000, 1000) : null;
}

export function milliamperesOf(steps: number): number | null {
  return isCounted(steps) ? roundTo(steps / 500, 1000) : null;
}

/** Zero is a figure of its own: darkness. */
export function microwattsOf(steps: number): number | null {
  return isCounted(steps) ? roundTo(steps / 10, 10) : null;
}

function isCounted(steps: number): boolean {
  return steps >= 0 && steps < 0xffff;
}

/** A limit that is not filled in is all zeros or all ones. */
export function limitOf(steps: number): number | null {
  return isFilled(steps) ? roundTo(steps / 10, 10) : null;
}

function isFilled(steps: number): boolean {
  return steps > 0 && steps < 0xffff;
}

/** A limit of warmth that is not filled in is 0 °C, or all ones. */
export function celsiusLimitOf(steps: number): number | null {
  return steps === 0 || steps === -1 ? null : celsiusOf(steps);
}

function roundTo(value: number, parts: number): number {
  return Math.round(value * parts) / parts;
}

/** Sixteen bits with a sign, highest byte first. */
export function signed16(page: PageReader, offset: number): number {
  return (page.be16(offset) << 16) >> 16;
}

/** Byte `at` holds the low byte of the sum of the bytes from `from` up to it. */
export function hasSum(page: PageReader, from: number, at: number): boolean {
  return sumOf(page, from, at) === page.u8(at);
}

export function requireSum(page: PageReader, from: number, at: number): void {
  if (hasSum(page, from, at)) return;
  const expected = `the sum of bytes ${from} to ${at - 1}, ${sumOf(page, from, at)}, in byte ${at}`;
  throw new PageError(page.record, expected, `${page.u8(at)}`);
}

function sumOf(page: PageReader, from: number, at: number): number {
  return page.part(from, at - from).reduce((total, byte) => (total + byte) & 0xff, 0);
}

/** Year, month and day as two digits each (the lot behind them is the maker's own). */
export function dayOf(text: string): string | null {
  const found = /^(\d\d)(0[1-9]|1[0-2])(0[1-9]|[12]\d|3[01])/.exec(text);
  return found === null ? null : `20${found[1]}-${found[2]}-${found[3]}`;
}

/** Connectors by number (SFF-8024, from memory). */
const connectors: Readonly<Record<number, string>> = {
  1: 'SC',
  7: 'LC',
  11: 'fixed fibre',
  12: 'MPO',
  13: 'MPO',
  33: 'fixed copper cable',
  34: 'RJ45',
  35: 'fixed cable',
};

export function connectorOf(code: number): string | null {
  return connectors[code] ?? null;
}
