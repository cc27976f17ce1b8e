import {
  decodeNvmeController,
  decodeNvmeHealth,
  decodeNvmeNamespace,
  decodeNvmeSelfTestLog,
} from '../../../src/agent/box/layouts/nvme.js';
import { decodeNvmeErrors } from '../../../src/agent/box/layouts/nvme-errors.js';
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
};

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
      },
    }),
  ];
}
