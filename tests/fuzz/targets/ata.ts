import { decodeCapacityPage } from '../../../src/agent/box/layouts/ata-capacity.js';
import {
  decodeErrorLog,
  decodeExtendedErrorLog,
} from '../../../src/agent/box/layouts/ata-error-log.js';
import { decodeAtaIdentify } from '../../../src/agent/box/layouts/ata-identify.js';
import {
  decodeIdentifyStrings,
  decodeOpenZones,
  decodeOwnMemory,
  decodeTrustedComputing,
} from '../../../src/agent/box/layouts/ata-identify-log.js';
import {
  decodeLinkCounters,
  linkCounterMeaning,
} from '../../../src/agent/box/layouts/ata-link-counters.js';
import { decodeQueueError } from '../../../src/agent/box/layouts/ata-queue-error.js';
import { decodeRecoveryTime } from '../../../src/agent/box/layouts/ata-recovery-time.js';
import { decodeSctStatus, decodeSctTemperatures } from '../../../src/agent/box/layouts/ata-sct.js';
import {
  decodeExtendedSelfTestLog,
  decodeSelfTestLog,
} from '../../../src/agent/box/layouts/ata-self-test.js';
import { decodeAtaSettings } from '../../../src/agent/box/layouts/ata-settings.js';
import {
  decodeSmartData,
  decodeSmartStatus,
  decodeSmartThresholds,
  selfTestStatus,
} from '../../../src/agent/box/layouts/ata-smart.js';
import {
  decodePassedLimits,
  decodeStatisticsList,
  decodeStatisticsPage,
} from '../../../src/agent/box/layouts/ata-statistics.js';
import { decodeAtaTraits } from '../../../src/agent/box/layouts/ata-traits.js';
import { decodeTaskFile } from '../../../src/agent/box/layouts/task-file.js';
import { between, type Limits, u8, u16, u32, u48, u64, upTo } from '../limits.js';
import { mendBlocks } from '../mutate-bytes.js';
import type { PagesOf } from '../seeds.js';
import { type FuzzTarget, joinedTarget, pageTarget } from '../target.js';

const loggedError: Limits = {
  count: u16,
  command: u8,
  error: u8,
  status: u8,
  lba: u48,
  state: upTo(15),
  hours: u16,
};
const selfTest: Limits = {
  test: u8,
  code: upTo(15),
  percentLeft: upTo(150),
  hours: u16,
  failingLba: upTo(2 ** 48 - 2),
};

/** Limits of IDENTIFY DEVICE; a sector has 2^7 to 2^15 words, at most 2^15 in one physical. */
export const identifyLimits: Limits = {
  sectors: u64,
  logicalBlockBytes: between(512, 65_536),
  physicalBlockBytes: between(512, 2 ** 31),
  rotation: between(0x401, 0xfffe),
  linkSpeedPossible: between(1_500_000_000, 6_000_000_000),
  linkSpeedRunning: between(1_500_000_000, 6_000_000_000),
};

export function ataTargets(pages: PagesOf): readonly FuzzTarget[] {
  const log = (number: number) => pages({ record: 'log', log: number });
  const checked = { mend: mendBlocks } as const;
  return [
    ...identifyLogTargets(pages),
    pageTarget(decodeErrorLog, { ...checked, seeds: log(0x01), limits: loggedError }),
    pageTarget(decodeExtendedErrorLog, { ...checked, seeds: log(0x03), limits: loggedError }),
    pageTarget(decodeSelfTestLog, { ...checked, seeds: log(0x06), limits: selfTest }),
    pageTarget(decodeExtendedSelfTestLog, { ...checked, seeds: log(0x07), limits: selfTest }),
    pageTarget(decodeQueueError, {
      ...checked,
      seeds: log(0x10),
      limits: { tag: upTo(31), status: u8, error: u8, lba: u48 },
    }),
    joinedTarget([decodeLinkCounters, linkCounterMeaning], linkCounters, {
      ...checked,
      name: 'decodeLinkCounters',
      seeds: log(0x11),
      limits: { id: u16, value: u64 },
    }),
    pageTarget(decodeSctStatus, {
      seeds: log(0xe0),
      limits: {
        formatVersion: between(2, 3),
        state: u8,
        ...celsius('temperature', 'lowestThisCycle', 'highestThisCycle'),
        ...celsius('lowestEver', 'highestEver'),
        overLimitCount: u32,
        underLimitCount: u32,
      },
    }),
    pageTarget(decodeSctTemperatures, {
      seeds: log(0xe1),
      limits: {
        minutesApart: u16,
        ...celsius('highestRecommended', 'highestAllowed', 'lowestRecommended', 'lowestAllowed'),
        ...celsius('kept'),
      },
    }),
    ...statisticTargets(log(0x04)),
    ...identifyTargets(pages),
    ...smartTargets(pages),
    ...registerTargets(pages),
  ];
}

function identifyLogTargets(pages: PagesOf): readonly FuzzTarget[] {
  const page = (number: number) => pages({ record: 'log', log: 0x30, page: number });
  return [
    pageTarget(decodeCapacityPage, { seeds: page(2), limits: { value: u48 } }),
    pageTarget(decodeOwnMemory, { seeds: page(2), limits: { value: between(65_536, 2 ** 36) } }),
    pageTarget(decodeIdentifyStrings, { seeds: page(5), limits: {} }),
    pageTarget(decodeTrustedComputing, { seeds: page(6), limits: {} }),
    pageTarget(decodeOpenZones, { seeds: page(9), limits: { value: between(1, 0xffff_fffe) } }),
  ];
}

function celsius(...names: readonly string[]): Limits {
  return Object.fromEntries(names.map((name) => [name, between(-127, 127)]));
}

function linkCounters(data: Uint8Array): unknown {
  return decodeLinkCounters(data).map((counter) => [counter, linkCounterMeaning(counter.id)]);
}

function statisticTargets(seeds: readonly Uint8Array[]): readonly FuzzTarget[] {
  return [
    pageTarget(decodeStatisticsList, { seeds, limits: { value: u8 } }),
    joinedTarget([decodeStatisticsPage, decodePassedLimits], statisticsPage, {
      name: 'decodeStatisticsPage',
      seeds,
      limits: { value: between(-128, 2 ** 48 - 1) },
    }),
    joinedTarget([], (data) => decodeStatisticsPage(data, 5), {
      name: 'decodeStatisticsPage, temperatures',
      seeds: seeds.filter((page) => page[2] === 5),
      limits: { value: between(-128, 2 ** 32 - 1) },
    }),
  ];
}

function statisticsPage(data: Uint8Array): unknown {
  const number = Math.max(1, data[2] ?? 1);
  return [decodeStatisticsPage(data, number), decodePassedLimits(data, number)];
}

function identifyTargets(pages: PagesOf): readonly FuzzTarget[] {
  const seeds = pages({ record: 'identify-device' });
  return [
    pageTarget(decodeAtaIdentify, { seeds, limits: identifyLimits, mend: mendBlocks }),
    pageTarget(decodeAtaTraits, { seeds, limits: { firstAligned: between(1, 32_768) } }),
    pageTarget(decodeAtaSettings, { seeds, limits: { powerLevel: between(1, 254) } }),
  ];
}

function smartTargets(pages: PagesOf): readonly FuzzTarget[] {
  const data = pages({ record: 'smart-data' });
  const thresholds = pages({ record: 'smart-thresholds' });
  return [
    joinedTarget([decodeSmartData, selfTestStatus], decodeSmartData, {
      name: 'decodeSmartData',
      mend: mendBlocks,
      seeds: data,
      limits: {
        id: between(1, 255),
        flags: u16,
        current: between(1, 253),
        worst: between(1, 253),
        raw: u48,
        offlineStatus: upTo(127),
        code: upTo(15),
        percentLeft: upTo(150),
        offlineSeconds: u16,
        shortTestMinutes: between(1, 255),
        extendedTestMinutes: between(1, 0xffff),
        conveyanceTestMinutes: between(1, 255),
      },
    }),
    pageTarget(decodeSmartThresholds, {
      mend: mendBlocks,
      seeds: thresholds,
      limits: { valueKey: between(1, 255), value: u8 },
    }),
  ];
}

function registerTargets(pages: PagesOf): readonly FuzzTarget[] {
  const modes = pages({ record: 'power-mode' });
  const maximum = pages({ record: 'native-max' });
  return [
    pageTarget(decodeSmartStatus, { seeds: pages({ record: 'smart-status' }), limits: {} }),
    pageTarget(decodeRecoveryTime, {
      seeds: pages({ record: 'sct-error-recovery' }),
      limits: { milliseconds: between(100, 6_553_400) },
    }),
    joinedTarget([decodeTaskFile], (data) => decodeTaskFile('Registers', data), {
      name: 'decodeTaskFile',
      seeds: [...modes, ...maximum],
      limits: { device: u8, count: u16, lba: u48 },
    }),
  ];
}
