import { bit, countOrNull, hexDigits, type PageReader, pageReader } from './bytes.js';
import { decodeNamespaceFormat } from './nvme-namespaces.js';

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
  /** Forgets what it holds without power; whether it is on is a feature. */
  readonly volatileWriteCache: boolean;
  /** The host may tell it from which temperature to slow itself. */
  readonly hostManagedHeat: boolean;
  readonly trim: boolean;
}

export function decodeNvmeController(data: Uint8Array): NvmeController {
  const page = pageReader('Identify Controller', data);
  page.part(0, 526);
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
    hostManagedHeat: bit(page.u8(322), 0),
    trim: bit(page.le16(520), 2),
    volatileWriteCache: bit(page.u8(525), 0),
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
  const { blockBytes } = decodeNamespaceFormat(data);
  return {
    blocks: page.le64(0),
    blockBytes,
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
  readonly readCommands: bigint;
  readonly writeCommands: bigint;
  readonly busyMinutes: bigint;
  readonly powerCycles: bigint;
  readonly powerOnHours: bigint;
  readonly unsafeShutdowns: bigint;
  readonly mediaErrors: bigint;
  readonly errorLogEntries: bigint;
  readonly minutesOverWarning: number;
  readonly minutesOverCritical: number;
  /** How often, and for how many seconds, it slowed itself a little and a lot against heat. */
  readonly slowedALittle: Slowing;
  readonly slowedMore: Slowing;
}

export interface Slowing {
  readonly times: number;
  readonly seconds: number;
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
    readCommands: page.le128(64),
    writeCommands: page.le128(80),
    busyMinutes: page.le128(96),
    powerCycles: page.le128(112),
    powerOnHours: page.le128(128),
    unsafeShutdowns: page.le128(144),
    mediaErrors: page.le128(160),
    errorLogEntries: page.le128(176),
    minutesOverWarning: page.le32(192),
    minutesOverCritical: page.le32(196),
    slowedALittle: { times: page.le32(216), seconds: page.le32(224) },
    slowedMore: { times: page.le32(220), seconds: page.le32(228) },
  };
}

export interface NvmeSelfTest {
  /** 1 short, 2 extended, Eh vendor's own. */
  readonly test: number;
  /** 0 completed, 1 to 9 stopped or failed. */
  readonly code: number;
  readonly hours: number | null;
  readonly failingLba: bigint | null;
  /** The part of the test that failed, where the drive knows it. */
  readonly failingPart: number | null;
  /** Status as NVMe commands end with it: type in bits 10:8, code in 7:0. */
  readonly status: number | null;
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

/** Byte 2 of an entry tells which of its fields are filled in: 1 block, 2 type, 3 code. */
function selfTest(page: PageReader, at: number): NvmeSelfTest {
  const code = page.u8(at) & 0xf;
  const filled = page.u8(at + 2);
  const hasStatus = bit(filled, 2) && bit(filled, 3);
  return {
    test: page.u8(at) >>> 4,
    code,
    hours: countOrNull(page.le64(at + 4)),
    failingLba: bit(filled, 1) ? page.le64(at + 16) : null,
    failingPart: code === partKnown ? page.u8(at + 1) : null,
    status: hasStatus ? (page.u8(at + 24) & 0b111) * 256 + page.u8(at + 25) : null,
  };
}

/** Result 7: failed, and byte 1 of the entry tells in which part. */
const partKnown = 7;

// Whole kelvins; the drives round, so 273 and not 273.15 gives their own whole degrees back.
function celsiusOf(kelvin: number): number | null {
  return kelvin === 0 || kelvin === 0xffff ? null : kelvin - 273;
}

function identifier(bytes: Uint8Array): string | null {
  return bytes.every((byte) => byte === 0) ? null : hexDigits(bytes);
}
