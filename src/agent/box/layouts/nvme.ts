import { bit, countOrNull, hexDigits, type PageReader, pageReader } from './bytes.js';
import { PageError } from './page-error.js';

/** Identify Controller (CNS 1, 4096 bytes): positions as in Linux 6.1 include/linux/nvme.h. */
export interface NvmeController {
  readonly model: string;
  readonly serial: string;
  readonly firmware: string;
  /** °C; null where the controller gives 0 K. */
  readonly warningTemperature: number | null;
  readonly criticalTemperature: number | null;
  readonly totalBytes: bigint;
  /** Bytes outside every namespace. */
  readonly unallocatedBytes: bigint;
  readonly selfTestSupported: boolean;
  readonly extendedTestMinutes: number;
}

export function decodeNvmeController(data: Uint8Array): NvmeController {
  const page = pageReader('Identify Controller', data);
  page.part(0, 512);
  return {
    serial: page.text(4, 20),
    model: page.text(24, 40),
    firmware: page.text(64, 8),
    warningTemperature: celsiusOf(page.le16(266)),
    criticalTemperature: celsiusOf(page.le16(268)),
    totalBytes: page.le128(280),
    unallocatedBytes: page.le128(296),
    selfTestSupported: bit(page.le16(256), 4),
    extendedTestMinutes: page.le16(316),
  };
}

/** Identify Namespace (CNS 0, 4096 bytes): names and the two identifiers from memory. */
export interface NvmeNamespace {
  readonly blocks: bigint;
  readonly blockBytes: number;
  readonly worldWideName: string | null;
}

export function decodeNvmeNamespace(data: Uint8Array): NvmeNamespace {
  const page = pageReader('Identify Namespace', data);
  page.part(0, 384);
  const format = page.u8(26) & 0xf;
  const shift = page.u8(128 + 4 * format + 2);
  if (shift < 9 || shift > 16) {
    throw new PageError(page.record, 'blocks of 2^9 to 2^16 bytes', `2^${shift}`);
  }
  return {
    blocks: page.le64(0),
    blockBytes: 2 ** shift,
    worldWideName: identifier(page.part(120, 8)) ?? identifier(page.part(104, 16)),
  };
}

/** SMART / Health log 02h, 512 bytes (Linux 6.1 struct nvme_smart_log; units from memory). */
export interface NvmeHealth {
  readonly criticalWarning: number;
  /** °C; null for 0 K and FFFFh, which mean that no sensor answered. */
  readonly temperature: number | null;
  readonly sensors: readonly (number | null)[];
  readonly sparePercent: number;
  readonly spareLimitPercent: number;
  readonly usedPercent: number;
  /** One unit is 512 000 bytes, rounded up. */
  readonly unitsRead: bigint;
  readonly unitsWritten: bigint;
  readonly powerCycles: bigint;
  readonly powerOnHours: bigint;
  readonly unsafeShutdowns: bigint;
  readonly mediaErrors: bigint;
  readonly errorLogEntries: bigint;
  readonly minutesOverWarning: number;
  readonly minutesOverCritical: number;
}

export function decodeNvmeHealth(data: Uint8Array): NvmeHealth {
  const page = pageReader('NVMe health log 02h', data);
  page.part(0, 512);
  return {
    criticalWarning: page.u8(0),
    temperature: celsiusOf(page.le16(1)),
    sensors: Array.from({ length: 8 }, (_, index) => celsiusOf(page.le16(200 + 2 * index))),
    sparePercent: page.u8(3),
    spareLimitPercent: page.u8(4),
    usedPercent: page.u8(5),
    unitsRead: page.le128(32),
    unitsWritten: page.le128(48),
    powerCycles: page.le128(112),
    powerOnHours: page.le128(128),
    unsafeShutdowns: page.le128(144),
    mediaErrors: page.le128(160),
    errorLogEntries: page.le128(176),
    minutesOverWarning: page.le32(192),
    minutesOverCritical: page.le32(196),
  };
}

export interface NvmeSelfTest {
  /** 1 short, 2 extended, Eh vendor's own. */
  readonly test: number;
  /** 0 completed, 1 to 9 stopped or failed. */
  readonly code: number;
  readonly hours: number | null;
  readonly failingLba: bigint | null;
}

export interface NvmeSelfTestLog {
  /** The test under way: 0 none. */
  readonly running: number;
  readonly percentDone: number;
  readonly newestFirst: readonly NvmeSelfTest[];
}

/** Device self-test log 06h, 564 bytes: 20 results of 28 bytes, newest first (from memory). */
export function decodeNvmeSelfTestLog(data: Uint8Array): NvmeSelfTestLog {
  const page = pageReader('NVMe self-test log 06h', data);
  page.part(0, 564);
  const starts = Array.from({ length: 20 }, (_, index) => 4 + 28 * index);
  const used = starts.filter((at) => (page.u8(at) & 0xf) !== 0xf && page.u8(at) >>> 4 !== 0);
  return {
    running: page.u8(0) & 0xf,
    percentDone: page.u8(1) & 0x7f,
    newestFirst: used.map((at) => selfTest(page, at)),
  };
}

function selfTest(page: PageReader, at: number): NvmeSelfTest {
  return {
    test: page.u8(at) >>> 4,
    code: page.u8(at) & 0xf,
    hours: countOrNull(page.le64(at + 4)),
    failingLba: bit(page.u8(at + 2), 1) ? page.le64(at + 16) : null,
  };
}

// Whole kelvins; the drives round, so 273 and not 273.15 gives their own whole degrees back.
function celsiusOf(kelvin: number): number | null {
  return kelvin === 0 || kelvin === 0xffff ? null : kelvin - 273;
}

function identifier(bytes: Uint8Array): string | null {
  return bytes.every((byte) => byte === 0) ? null : hexDigits(bytes);
}
