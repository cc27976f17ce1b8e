import { countOrNull, hex, type PageReader, pageReader } from './bytes.js';
import { PageError } from './page-error.js';

/** Values of one LOG SENSE page by parameter code, each still as bytes. */
export type LogParameters = ReadonlyMap<number, PageReader>;

/** LOG SENSE (4Dh): header of 4 bytes, then code, control, length and value of each parameter. */
export function decodeLogParameters(
  data: Uint8Array,
  asked: { readonly log: number; readonly subpage: number },
): LogParameters {
  const page = pageReader(`LOG SENSE page ${logName(asked)}`, data);
  const found = { log: page.u8(0) & 0x3f, subpage: (page.u8(0) & 0x40) === 0 ? 0 : page.u8(1) };
  if (found.log !== asked.log || found.subpage !== asked.subpage) {
    throw new PageError(page.record, `page ${logName(asked)}`, `page ${logName(found)}`);
  }
  const end = 4 + page.be16(2);
  const parameters = new Map<number, PageReader>();
  for (let at = 4; at < end; at += 4 + page.u8(at + 3)) {
    const value = page.part(at + 4, page.u8(at + 3));
    parameters.set(page.be16(at), pageReader(`${page.record} parameter`, value));
  }
  return parameters;
}

/** A counter of any width, big-endian; null when absent, all FFh, or larger than any count. */
export function logCounter(parameters: LogParameters, code: number): number | null {
  const value = parameters.get(code);
  if (value === undefined || value.length === 0) return null;
  const bytes = value.part(0, value.length);
  if (bytes.every((byte) => byte === 0xff)) return null;
  return countOrNull(bytes.reduce((sum, byte) => sum * 256n + BigInt(byte), 0n));
}

/** Page 0Dh: °C in the value's second byte, FFh for none (0000h now, 0001h reference). */
export function logTemperature(parameters: LogParameters, code: 0 | 1): number | null {
  const byte = parameters.get(code)?.u8(1);
  return byte === undefined || byte === 0xff ? null : byte;
}

/** Page 0Eh: when the drive was made, from four and two ASCII digits, or null. */
export function manufactureWeek(parameters: LogParameters): { year: number; week: number } | null {
  const text = parameters.get(1)?.text(0, 6) ?? '';
  return /^\d{6}$/.test(text)
    ? { year: Number(text.slice(0, 4)), week: Number(text.slice(4)) }
    : null;
}

export interface ScsiSelfTest {
  /** 1 and 5 short, 2 and 6 extended. */
  readonly test: number;
  /** 0 completed, 1 to 7 stopped or failed, 15 in progress. */
  readonly code: number;
  /** Stops at 65 535 (Seagate SCSI Commands Reference Rev. J p. 363). */
  readonly hours: number;
  readonly failingLba: bigint | null;
}

/** Page 10h: 20 entries, newest first; an entry of zeros was never used (same manual p. 361). */
export function decodeScsiSelfTests(parameters: LogParameters): readonly ScsiSelfTest[] {
  const codes = Array.from({ length: 20 }, (_, index) => index + 1);
  const entries = codes.map((code) => parameters.get(code)).filter((entry) => entry !== undefined);
  const used = entries.filter((entry) => entry.part(0, 16).some((byte) => byte !== 0));
  return used.map((entry) => ({
    test: entry.u8(0) >>> 5,
    code: entry.u8(0) & 0xf,
    hours: entry.be16(2),
    failingLba: entry.be64(4) === 2n ** 64n - 1n ? null : entry.be64(4),
  }));
}

export interface BackgroundScan {
  readonly powerOnMinutes: number;
  readonly status: number;
}

/** Page 15h, parameter 0000h: minutes since the drive was made (same manual p. 312). */
export function decodeBackgroundScan(parameters: LogParameters): BackgroundScan | null {
  const value = parameters.get(0);
  if (value === undefined) return null;
  return { powerOnMinutes: value.be32(0), status: value.u8(5) };
}

/** Page 11h, parameter 0001h: percent of endurance used, last byte (position from memory). */
export function enduranceUsed(parameters: LogParameters): number | null {
  const value = parameters.get(1);
  return value === undefined || value.length === 0 ? null : value.u8(value.length - 1);
}

export interface InformationalExceptions {
  readonly code: number;
  readonly qualifier: number;
}

/** Page 2Fh, parameter 0000h: code 5Dh says that the drive expects to fail. */
export function decodeExceptions(parameters: LogParameters): InformationalExceptions | null {
  const value = parameters.get(0);
  return value === undefined ? null : { code: value.u8(0), qualifier: value.u8(1) };
}

/** Page 2Fh: °C in the third byte, where the drive gives one; 0 and FFh are none. */
export function exceptionsTemperature(parameters: LogParameters): number | null {
  const value = parameters.get(0);
  const byte = value === undefined || value.length < 3 ? 0 : value.u8(2);
  return byte === 0 || byte === 0xff ? null : byte;
}

function logName(page: { readonly log: number; readonly subpage: number }): string {
  return page.subpage === 0 ? hex(page.log) : `${hex(page.log)}/${hex(page.subpage)}`;
}
