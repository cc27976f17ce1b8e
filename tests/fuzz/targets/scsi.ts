import {
  decodeFormFactor,
  decodeProvisioning,
  decodeZones,
  zonesOfDeviceType,
} from '../../../src/agent/box/layouts/scsi-abilities.js';
import {
  decodeDefectHeader,
  decodeRequestSense,
} from '../../../src/agent/box/layouts/scsi-condition.js';
import {
  decodeGeneralStatistics,
  decodeScanFindings,
  decodeScanState,
} from '../../../src/agent/box/layouts/scsi-counts.js';
import {
  decodeAtaInformationPage,
  decodeCharacteristicsPage,
  decodeInquiry,
  decodeNamePage,
  decodeReadCapacity,
  decodeSerialPage,
} from '../../../src/agent/box/layouts/scsi-inquiry.js';
import {
  decodeBackgroundScan,
  decodeExceptions,
  decodeLogParameters,
  decodeScsiSelfTests,
  enduranceUsed,
  exceptionsTemperature,
  type LogParameters,
  logCounter,
  logTemperature,
  manufactureWeek,
} from '../../../src/agent/box/layouts/scsi-logs.js';
import {
  decodeCachingMode,
  decodeErrorRecoveryMode,
  decodeExceptionsMode,
} from '../../../src/agent/box/layouts/scsi-mode.js';
import {
  decodeMakersPage37,
  decodeSasPhys,
  minutesSinceFormat,
} from '../../../src/agent/box/layouts/scsi-phy-log.js';
import { between, exact, type Limits, u8, u16, u32, u64, upTo } from '../limits.js';
import type { PagesOf } from '../seeds.js';
import { type FuzzTarget, joinedTarget, pageTarget } from '../target.js';
import { identifyLimits } from './ata.js';

export function scsiTargets(pages: PagesOf): readonly FuzzTarget[] {
  return [...identityTargets(pages), ...conditionTargets(pages), ...logTargets(pages)];
}

function identityTargets(pages: PagesOf): readonly FuzzTarget[] {
  const vital = (page: number) => pages({ record: 'vpd', page });
  return [
    pageTarget(decodeInquiry, {
      seeds: pages({ record: 'inquiry' }),
      limits: { deviceType: upTo(31) },
    }),
    pageTarget(decodeSerialPage, { seeds: vital(0x80), limits: {} }),
    pageTarget(decodeNamePage, { seeds: vital(0x83), limits: {} }),
    pageTarget(decodeAtaInformationPage, { seeds: vital(0x89), limits: identifyLimits }),
    pageTarget(decodeCharacteristicsPage, {
      seeds: vital(0xb1),
      limits: { value: between(0x401, 0xfffe) },
    }),
    joinedTarget([decodeZones, zonesOfDeviceType], zones, {
      name: 'decodeZones',
      seeds: vital(0xb1),
      limits: {},
    }),
    pageTarget(decodeFormFactor, { seeds: vital(0xb1), limits: {} }),
    pageTarget(decodeProvisioning, {
      seeds: pages({ record: 'read-capacity-16' }),
      limits: { firstAligned: upTo(0x3fff) },
    }),
    pageTarget(decodeReadCapacity, {
      seeds: pages({ record: 'read-capacity-16' }),
      limits: {
        // The last block's number is below 2^64, so their count may reach it.
        blocks: upTo(2n ** 64n),
        blockBytes: between(256, 65_536),
        physicalBlockBytes: between(256, 2 ** 31),
        protectionType: between(1, 8),
      },
    }),
  ];
}

function zones(data: Uint8Array): unknown {
  return [decodeZones(data), zonesOfDeviceType(data[0] ?? 0)];
}

function conditionTargets(pages: PagesOf): readonly FuzzTarget[] {
  const mode = (page: number) => pages({ record: 'mode-sense', page });
  return [
    pageTarget(decodeRequestSense, {
      seeds: pages({ record: 'request-sense' }),
      limits: { powerMode: u8, selfTestPercentDone: upTo(100) },
    }),
    pageTarget(decodeDefectHeader, {
      seeds: pages({ record: 'defect-list' }),
      limits: { value: upTo(2 ** 30) },
    }),
    pageTarget(decodeErrorRecoveryMode, {
      seeds: mode(0x01),
      limits: { limitMs: u16, readRetries: u8, writeRetries: u8 },
    }),
    pageTarget(decodeCachingMode, { seeds: mode(0x08), limits: {} }),
    pageTarget(decodeExceptionsMode, { seeds: mode(0x1c), limits: {} }),
  ];
}

interface LogReader {
  readonly log: number;
  readonly subpage?: number;
  readonly name?: string;
  readonly read: (parameters: LogParameters) => unknown;
  readonly limits: Limits;
}

const scan: Limits = { status: u8, scans: u16, percentDone: upTo(99), powerOnMinutes: u32 };

const logReaders: readonly LogReader[] = [
  { log: 0x15, read: decodeBackgroundScan, limits: scan },
  { log: 0x15, read: decodeScanState, limits: scan },
  {
    log: 0x15,
    read: decodeScanFindings,
    limits: { key: upTo(15), code: u8, qualifier: u8, lba: u64 },
  },
  { log: 0x2f, read: decodeExceptions, limits: { code: u8, qualifier: u8 } },
  { log: 0x2f, read: exceptionsTemperature, limits: { value: between(1, 254) } },
  {
    log: 0x19,
    read: decodeGeneralStatistics,
    limits: { readCommands: exact, writeCommands: exact, blocksWritten: exact, blocksRead: exact },
  },
  {
    log: 0x37,
    read: decodeMakersPage37,
    limits: {
      hours: upTo(0xffff_fffe),
      bytesRead: exact,
      bytesWritten: exact,
      highestCelsius: between(1, 254),
      grownDefects: upTo(0xfffe),
    },
  },
  {
    log: 0x18,
    read: decodeSasPhys,
    limits: {
      port: u16,
      phy: u8,
      linkBitsPerSecond: between(1_500_000_000, 12_000_000_000),
      invalidWords: u32,
      disparityErrors: u32,
      wordLosses: u32,
      resetProblems: u32,
    },
  },
  {
    log: 0x10,
    read: decodeScsiSelfTests,
    limits: { test: upTo(7), code: upTo(15), hours: u16, failingLba: u64 },
  },
  { log: 0x11, read: enduranceUsed, limits: { value: u8 } },
  {
    log: 0x0e,
    read: manufactureWeek,
    limits: { year: upTo(9999), week: upTo(99) },
  },
  { log: 0x08, read: minutesSinceFormat, limits: { value: upTo(0xffff_fffe) } },
  {
    log: 0x0d,
    name: 'logTemperature',
    read: (parameters) => [logTemperature(parameters, 0), logTemperature(parameters, 1)],
    limits: { value: upTo(254) },
  },
  {
    log: 0x03,
    name: 'logCounter',
    read: (parameters) => [...parameters.keys()].map((code) => logCounter(parameters, code)),
    limits: { value: exact },
  },
];

function logTargets(pages: PagesOf): readonly FuzzTarget[] {
  const readers = logReaders.map(({ log, read, limits, name }): FuzzTarget => {
    const run = (data: Uint8Array) => read(decodeLogParameters(data, { log, subpage: 0 }));
    const seeds = pages({ record: 'log-sense', log });
    const own = name ?? read.name;
    return joinedTarget([{ name: own }], run, { name: own, seeds, limits });
  });
  const pending = { log: 0x15, subpage: 1 } as const;
  return [
    ...readers,
    joinedTarget([decodeLogParameters], (data) => decodeLogParameters(data, pending), {
      name: 'decodeLogParameters',
      seeds: pages({ record: 'log-sense', ...pending }),
      limits: { valueKey: u16 },
    }),
  ];
}
