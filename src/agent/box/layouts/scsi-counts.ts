import { countOrNull, type PageReader } from './bytes.js';
import type { LogParameters } from './scsi-logs.js';

/** Page 19h, parameter 0001h: what the drive did since it counts; null where it holds none. */
export interface GeneralStatistics {
  readonly readCommands: number | null;
  readonly writeCommands: number | null;
  readonly blocksWritten: number | null;
  readonly blocksRead: number | null;
}

/** Four counters of 8 bytes; "received" are blocks from the host (HGST C15K600 p. 143). */
export function decodeGeneralStatistics(parameters: LogParameters): GeneralStatistics | null {
  const value = parameters.get(1);
  if (value === undefined) return null;
  return {
    readCommands: counter(value, 0),
    writeCommands: counter(value, 8),
    blocksWritten: counter(value, 16),
    blocksRead: counter(value, 24),
  };
}

/** A counter of ones holds nothing. */
function counter(value: PageReader, offset: number): number | null {
  return countOrNull(value.be64(offset));
}

/** What the drive's own scan of its surface is doing; fractions in 65 536ths. */
export interface ScanState {
  readonly status: number;
  readonly scans: number;
  readonly percentDone: number;
}

/** Page 15h, parameter 0000h (Seagate SCSI Commands Reference Rev. J p. 312). */
export function decodeScanState(parameters: LogParameters): ScanState | null {
  const value = parameters.get(0);
  if (value === undefined) return null;
  return {
    status: value.u8(5),
    scans: value.be16(6),
    percentDone: Math.floor((value.be16(8) * 100) / 65_536),
  };
}

/** A place that the drive's own scan found. */
export interface ScanFinding {
  readonly key: number;
  readonly code: number;
  readonly qualifier: number;
  readonly lba: bigint;
}

const findingCodeMax = 0x800;

/** Page 15h, parameters 0001h to 0800h (same manual p. 314): sense and place of each. */
export function decodeScanFindings(parameters: LogParameters): readonly ScanFinding[] {
  return [...parameters]
    .filter(([code]) => code >= 1 && code <= findingCodeMax)
    .map(([, value]) => ({
      key: value.u8(4) & 0xf,
      code: value.u8(5),
      qualifier: value.u8(6),
      lba: value.be64(12),
    }));
}
