import {
  decodeNvmeController,
  decodeNvmeHealth,
  decodeNvmeNamespace,
  decodeNvmeSelfTestLog,
} from '../../../src/agent/box/layouts/nvme.js';
import { decodeNvmeErrors } from '../../../src/agent/box/layouts/nvme-errors.js';
import {
  decodeHostManagedHeat,
  decodeTemperatureThreshold,
  decodeVolatileWriteCache,
} from '../../../src/agent/box/layouts/nvme-features.js';
import {
  decodeNamespaceFormat,
  decodeNamespaceList,
} from '../../../src/agent/box/layouts/nvme-namespaces.js';
import { between, exact, type Limits, u8, u16, u32, u64, u128, upTo } from '../limits.js';
import type { PagesOf } from '../seeds.js';
import { type FuzzTarget, pageTarget } from '../target.js';

/** 16 bits of kelvins, of which 0 and FFFFh are none. */
const celsius = between(1 - 273, 0xfffe - 273);

const health: Limits = {
  criticalWarning: u8,
  temperature: celsius,
  sensors: celsius,
  sparePercent: u8,
  spareLimitPercent: u8,
  usedPercent: u8,
  unitsRead: u128,
  unitsWritten: u128,
  powerCycles: u128,
  powerOnHours: u128,
  unsafeShutdowns: u128,
  mediaErrors: u128,
  errorLogEntries: u128,
  minutesOverWarning: u32,
  minutesOverCritical: u32,
  readCommands: u128,
  writeCommands: u128,
  busyMinutes: u128,
  times: u32,
  seconds: u32,
};

/** Four bytes of completion dword 0. */
const answers = ['60 01 00 00', '01 00 00 00', '00 00 61 01', 'ff ff ff ff'].map((text) =>
  Uint8Array.from(text.split(' '), (pair) => Number.parseInt(pair, 16)),
);

export function nvmeTargets(pages: PagesOf): readonly FuzzTarget[] {
  const log = (number: number) => pages({ record: 'nvme-log', log: number });
  return [
    pageTarget(decodeNvmeController, {
      seeds: pages({ record: 'identify-controller' }),
      limits: {
        warningTemperature: celsius,
        criticalTemperature: celsius,
        totalBytes: u128,
        unallocatedBytes: u128,
        extendedTestMinutes: u16,
      },
    }),
    pageTarget(decodeNvmeNamespace, {
      seeds: pages({ record: 'identify-namespace' }),
      limits: { blocks: u64, blockBytes: between(512, 65_536) },
    }),
    pageTarget(decodeNamespaceFormat, {
      seeds: pages({ record: 'identify-namespace' }),
      limits: {
        blocksUsed: u64,
        blockBytes: between(512, 65_536),
        metadataBytes: u16,
        protectionType: between(1, 3),
      },
    }),
    pageTarget(decodeNamespaceList, { seeds: [namespaces()], limits: { value: u32 }, share: 0.2 }),
    pageTarget(decodeTemperatureThreshold, { seeds: answers, limits: { value: celsius } }),
    pageTarget(decodeVolatileWriteCache, { seeds: answers, limits: {} }),
    pageTarget(decodeHostManagedHeat, {
      seeds: answers,
      limits: { slowsALittle: celsius, slowsMore: celsius },
    }),
    pageTarget(decodeNvmeHealth, { seeds: log(2), limits: health }),
    pageTarget(decodeNvmeErrors, {
      seeds: log(1),
      limits: { count: exact, status: upTo(0x7ff), lba: u64 },
    }),
    pageTarget(decodeNvmeSelfTestLog, {
      seeds: log(6),
      limits: {
        running: upTo(15),
        percentDone: upTo(127),
        test: upTo(15),
        code: upTo(15),
        hours: exact,
        failingLba: u64,
        failingPart: u8,
        status: upTo(0x7ff),
      },
    }),
  ];
}

/** Numbers 1, 2 and 4 in a list of 4096 bytes. */
function namespaces(): Uint8Array {
  const list = new Uint8Array(4096);
  list.set([1, 0, 0, 0, 2, 0, 0, 0, 4]);
  return list;
}
