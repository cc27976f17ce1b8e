import { countOrNull, hex } from './bytes.js';
import { PageError } from './page-error.js';
import type { LogParameters } from './scsi-logs.js';

/** One end of a SAS cable as the drive counts it; all counters start again at power-on. */
export interface SasPhy {
  readonly port: number;
  readonly phy: number;
  readonly linkBitsPerSecond: number | null;
  readonly invalidWords: number;
  readonly disparityErrors: number;
  readonly wordLosses: number;
  readonly resetProblems: number;
}

const rates: Readonly<Record<number, number>> = {
  8: 1_500_000_000,
  9: 3_000_000_000,
  10: 6_000_000_000,
  11: 12_000_000_000,
};

const headBytes = 4;
const phyBytesMin = 48;
const sasProtocol = 6;

/**
 * Protocol specific page 18h: one parameter a port; from byte 4 of the value descriptors of 48
 * bytes or more, each with its own length in byte 3 (HGST C15K600 p. 138 and 139, Seagate SCSI
 * Commands Reference Rev. J p. 358; phy number and length byte: SPL, from memory).
 */
export function decodeSasPhys(parameters: LogParameters): readonly SasPhy[] {
  const phys: SasPhy[] = [];
  for (const [port, value] of parameters) {
    if ((value.u8(0) & 0xf) !== sasProtocol) continue;
    const count = value.u8(3);
    for (let index = 0, at = headBytes; index < count; index += 1) {
      const bytes = Math.max(phyBytesMin, headBytes + value.u8(at + 3));
      if (at + bytes > value.length) {
        throw new PageError(value.record, `${count} phys`, `${index} in ${hex(value.length, 4)}`);
      }
      phys.push({
        port,
        phy: value.u8(at + 1),
        linkBitsPerSecond: rates[value.u8(at + 5) & 0xf] ?? null,
        invalidWords: value.be32(at + 32),
        disparityErrors: value.be32(at + 36),
        wordLosses: value.be32(at + 40),
        resetProblems: value.be32(at + 44),
      });
      at += bytes;
    }
  }
  return phys;
}

/** One maker's own page 37h, parameter 0000h (HGST C15K600 p. 150); null when it is filled up. */
export interface MakersPage37 {
  readonly hours: number | null;
  readonly bytesRead: number | null;
  readonly bytesWritten: number | null;
  readonly highestCelsius: number | null;
  readonly grownDefects: number | null;
}

export function decodeMakersPage37(parameters: LogParameters): MakersPage37 | null {
  const value = parameters.get(0);
  if (value === undefined) return null;
  const hours = value.be32(0);
  const highest = value.u8(20);
  const defects = value.be16(21);
  return {
    hours: hours === 0xffff_ffff ? null : hours,
    bytesRead: countOrNull(value.be64(4)),
    bytesWritten: countOrNull(value.be64(12)),
    highestCelsius: highest === 0 || highest === 0xff ? null : highest,
    grownDefects: defects === 0xffff ? null : defects,
  };
}

/** Page 08h, parameter 0004h: power-on minutes since the last format (Seagate Rev. J p. 336). */
export function minutesSinceFormat(parameters: LogParameters): number | null {
  const minutes = parameters.get(4)?.be32(0);
  return minutes === undefined || minutes === 0xffff_ffff ? null : minutes;
}
