import { bit, type PageReader, pageReader, requireZeroSum } from './bytes.js';

/** One SMART attribute: 12 bytes (published by several makers, e.g. Hitachi 5K320 p. 151). */
export interface SmartAttribute {
  readonly id: number;
  readonly flags: number;
  /** Failing means that the drive is about to fail (flag bit 0). */
  readonly preFail: boolean;
  /** 1 to 253; null for 0, 254 and 255, which are not values. */
  readonly current: number | null;
  readonly worst: number | null;
  /** The six raw bytes as one little-endian number: below 2^48, so exact. */
  readonly raw: number;
  /** The six and the byte behind them, which some makers count in. */
  readonly rawBytes: Uint8Array;
}

export interface SelfTestStatus {
  readonly code: number;
  readonly percentLeft: number;
}

export interface SmartData {
  readonly attributes: readonly SmartAttribute[];
  readonly offlineStatus: number;
  readonly selfTest: SelfTestStatus;
  readonly offlineSeconds: number;
  readonly abilities: SmartAbilities;
  readonly errorLogging: boolean;
  /** How long the drive says that its tests take; null where it says nothing. */
  readonly shortTestMinutes: number | null;
  readonly extendedTestMinutes: number | null;
  readonly conveyanceTestMinutes: number | null;
}

export interface SmartAbilities {
  readonly offline: boolean;
  readonly readScan: boolean;
  readonly selfTest: boolean;
  readonly conveyanceTest: boolean;
  readonly selectiveTest: boolean;
}

const slots = Array.from({ length: 30 }, (_, index) => 2 + 12 * index);

/** SMART READ DATA (B0h/D0h), 512 bytes; offsets as in the Hitachi 7K500 manual, p. 203. */
export function decodeSmartData(data: Uint8Array): SmartData {
  const page = pageReader('SMART data', data);
  requireZeroSum(page);
  return {
    attributes: slots.filter((at) => page.u8(at) !== 0).map((at) => attribute(page, at)),
    offlineStatus: page.u8(362) & 0x7f,
    selfTest: selfTestStatus(page.u8(363)),
    offlineSeconds: page.le16(364),
    abilities: abilities(page.u8(367)),
    errorLogging: bit(page.u8(370), 0),
    shortTestMinutes: minutes(page.u8(372)),
    extendedTestMinutes: extendedMinutes(page),
    conveyanceTestMinutes: minutes(page.u8(374)),
  };
}

/** SMART READ THRESHOLDS (B0h/D1h): threshold by attribute id. */
export function decodeSmartThresholds(data: Uint8Array): ReadonlyMap<number, number> {
  const page = pageReader('SMART thresholds', data);
  requireZeroSum(page);
  const entries = slots.filter((at) => page.u8(at) !== 0);
  return new Map(entries.map((at) => [page.u8(at), page.u8(at + 1)]));
}

/**
 * SMART RETURN STATUS (B0h/DAh) from the registers after the command. LBA bytes 1 and 2 come back
 * as they were sent (4Fh, C2h) when no threshold is exceeded and as F4h, 2Ch when one is. A command
 * that ended in error leaves what was sent in place, so the error bits are looked at first.
 */
export function decodeSmartStatus(data: Uint8Array): 'failing' | 'passing' | 'no-answer' {
  const page = pageReader('SMART status', data);
  page.part(0, 12);
  const status = page.u8(1);
  if (bit(status, 0) || bit(status, 5)) return 'no-answer';
  const pair = page.u8(6) * 256 + page.u8(7);
  if (pair === 0x4fc2) return 'passing';
  return pair === 0xf42c ? 'failing' : 'no-answer';
}

/** The status byte of self-tests: code above, tenths left below (Fujitsu MHY2200BH table 5.13). */
export function selfTestStatus(byte: number): SelfTestStatus {
  return { code: byte >>> 4, percentLeft: (byte & 0xf) * 10 };
}

function attribute(page: PageReader, at: number): SmartAttribute {
  const flags = page.le16(at + 1);
  return {
    id: page.u8(at),
    flags,
    preFail: bit(flags, 0),
    current: normalised(page.u8(at + 3)),
    worst: normalised(page.u8(at + 4)),
    raw: page.le48(at + 5),
    rawBytes: page.part(at + 5, 7),
  };
}

function normalised(byte: number): number | null {
  return byte >= 1 && byte <= 253 ? byte : null;
}

function abilities(byte: number): SmartAbilities {
  return {
    offline: bit(byte, 0),
    readScan: bit(byte, 3),
    selfTest: bit(byte, 4),
    conveyanceTest: bit(byte, 5),
    selectiveTest: bit(byte, 6),
  };
}

function minutes(value: number): number | null {
  return value === 0 ? null : value;
}

// Byte 373 = FFh sends the reader to the word at 375 (Hitachi 7K1000.B p. 210); some older drives
// have no such word, so it is not looked at otherwise.
function extendedMinutes(page: PageReader): number | null {
  return minutes(page.u8(373) === 0xff ? page.le16(375) : page.u8(373));
}
