import { readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { decodeCapacityPage } from '../../../../src/agent/box/layouts/ata-capacity.js';
import {
  decodeErrorLog,
  decodeExtendedErrorLog,
} from '../../../../src/agent/box/layouts/ata-error-log.js';
import { decodeAtaIdentify } from '../../../../src/agent/box/layouts/ata-identify.js';
import {
  decodeIdentifyStrings,
  decodeOpenZones,
  decodeOwnMemory,
  decodeTrustedComputing,
} from '../../../../src/agent/box/layouts/ata-identify-log.js';
import { decodeLinkCounters } from '../../../../src/agent/box/layouts/ata-link-counters.js';
import { decodeQueueError } from '../../../../src/agent/box/layouts/ata-queue-error.js';
import { decodeRecoveryTime } from '../../../../src/agent/box/layouts/ata-recovery-time.js';
import {
  decodeSctStatus,
  decodeSctTemperatures,
} from '../../../../src/agent/box/layouts/ata-sct.js';
import {
  decodeExtendedSelfTestLog,
  decodeSelfTestLog,
} from '../../../../src/agent/box/layouts/ata-self-test.js';
import { decodeAtaSettings } from '../../../../src/agent/box/layouts/ata-settings.js';
import {
  decodeSmartData,
  decodeSmartStatus,
  decodeSmartThresholds,
} from '../../../../src/agent/box/layouts/ata-smart.js';
import {
  decodePassedLimits,
  decodeStatisticsList,
  decodeStatisticsPage,
} from '../../../../src/agent/box/layouts/ata-statistics.js';
import { decodeAtaTraits } from '../../../../src/agent/box/layouts/ata-traits.js';
import { parseCaptureFile } from '../../../../src/agent/box/layouts/capture-file.js';
import {
  decodeNvmeController,
  decodeNvmeHealth,
  decodeNvmeNamespace,
  decodeNvmeSelfTestLog,
} from '../../../../src/agent/box/layouts/nvme.js';
import { decodeNvmeErrors } from '../../../../src/agent/box/layouts/nvme-errors.js';
import {
  decodeHostManagedHeat,
  decodeTemperatureThreshold,
  decodeVolatileWriteCache,
} from '../../../../src/agent/box/layouts/nvme-features.js';
import {
  decodeNamespaceFormat,
  decodeNamespaceList,
} from '../../../../src/agent/box/layouts/nvme-namespaces.js';
import { PageError } from '../../../../src/agent/box/layouts/page-error.js';
import {
  decodeFormFactor,
  decodeProvisioning,
  decodeZones,
} from '../../../../src/agent/box/layouts/scsi-abilities.js';
import {
  decodeDefectHeader,
  decodeRequestSense,
} from '../../../../src/agent/box/layouts/scsi-condition.js';
import {
  decodeGeneralStatistics,
  decodeScanFindings,
  decodeScanState,
} from '../../../../src/agent/box/layouts/scsi-counts.js';
import {
  decodeAtaInformationPage,
  decodeCharacteristicsPage,
  decodeInquiry,
  decodeNamePage,
  decodeReadCapacity,
  decodeSerialPage,
} from '../../../../src/agent/box/layouts/scsi-inquiry.js';
import {
  decodeBackgroundScan,
  decodeExceptions,
  decodeLogParameters,
  decodeScsiSelfTests,
  enduranceUsed,
  exceptionsTemperature,
  logCounter,
  logTemperature,
  manufactureWeek,
} from '../../../../src/agent/box/layouts/scsi-logs.js';
import {
  decodeCachingMode,
  decodeErrorRecoveryMode,
  decodeExceptionsMode,
} from '../../../../src/agent/box/layouts/scsi-mode.js';
import {
  decodeMakersPage37,
  decodeSasPhys,
  minutesSinceFormat,
} from '../../../../src/agent/box/layouts/scsi-phy-log.js';
import { decodeTaskFile } from '../../../../src/agent/box/layouts/task-file.js';
import { interpret } from '../../../../src/agent/probes/interpret.js';
import type { Capture, RawPage, RecordName } from '../../../../src/checks/capture.js';
import { UserError } from '../../../../src/checks/user-error.js';
import { captureFolder } from './load-hex.js';

type Decoder = (data: Uint8Array, page: RawPage) => unknown;

function decodeLogPage(data: Uint8Array, page: RawPage): unknown {
  const asked = { log: page.log ?? 0, subpage: page.subpage ?? 0 };
  const parameters = decodeLogParameters(data, asked);
  return [
    decodeBackgroundScan,
    decodeExceptions,
    decodeGeneralStatistics,
    decodeMakersPage37,
    decodeScanFindings,
    decodeScanState,
    exceptionsTemperature,
    decodeSasPhys,
    decodeScsiSelfTests,
    enduranceUsed,
    manufactureWeek,
    minutesSinceFormat,
    () => logCounter(parameters, 6),
    () => logTemperature(parameters, 0),
  ].map((read) => read(parameters));
}

function decodeIdentifyLog(data: Uint8Array, page: number): unknown {
  const byPage: Readonly<Record<number, (bytes: Uint8Array) => unknown>> = {
    2: (bytes) => [decodeOwnMemory(bytes), decodeCapacityPage(bytes)],
    5: decodeIdentifyStrings,
    6: decodeTrustedComputing,
    9: decodeOpenZones,
  };
  return byPage[page]?.(data);
}

function decodeAtaLog(data: Uint8Array, { log, page }: RawPage): unknown {
  if (log === 0x04) {
    if (page === 0) return decodeStatisticsList(data);
    return [decodePassedLimits(data, page ?? 0), decodeStatisticsPage(data, page ?? 0)];
  }
  const decoders: Readonly<Record<number, (bytes: Uint8Array) => unknown>> = {
    1: decodeErrorLog,
    3: decodeExtendedErrorLog,
    6: decodeSelfTestLog,
    7: decodeExtendedSelfTestLog,
    16: decodeQueueError,
    17: decodeLinkCounters,
    48: (bytes) => decodeIdentifyLog(bytes, page ?? 0),
    224: decodeSctStatus,
    225: decodeSctTemperatures,
  };
  return decoders[log ?? 0]?.(data);
}

function decodeVital(data: Uint8Array, { page }: RawPage): unknown {
  const decoders: Readonly<Record<number, (bytes: Uint8Array) => unknown>> = {
    128: decodeSerialPage,
    131: decodeNamePage,
    137: decodeAtaInformationPage,
    177: (bytes) => [decodeFormFactor(bytes), decodeZones(bytes), decodeCharacteristicsPage(bytes)],
  };
  return decoders[page ?? 0]?.(data);
}

function decodeMode(data: Uint8Array, { page }: RawPage): unknown {
  if (page === 0x08) return decodeCachingMode(data);
  return page === 0x01 ? decodeErrorRecoveryMode(data) : decodeExceptionsMode(data);
}

const decoders: Readonly<Record<RecordName, Decoder>> = {
  'identify-device': (data) => [
    decodeAtaTraits(data),
    decodeAtaSettings(data),
    decodeAtaIdentify(data),
  ],
  'smart-data': decodeSmartData,
  'smart-thresholds': decodeSmartThresholds,
  'smart-status': decodeSmartStatus,
  'power-mode': (data) => decodeTaskFile('Power mode', data),
  'native-max': (data) => decodeTaskFile('Native maximum', data),
  log: decodeAtaLog,
  'identify-controller': decodeNvmeController,
  'identify-namespace': (data) => [decodeNamespaceFormat(data), decodeNvmeNamespace(data)],
  'nvme-log': (data, { log }) => {
    if (log === 1) return decodeNvmeErrors(data);
    return log === 2 ? decodeNvmeHealth(data) : decodeNvmeSelfTestLog(data);
  },
  'namespace-list': decodeNamespaceList,
  'nvme-feature': (data, { page }) => {
    if (page === 4) return decodeTemperatureThreshold(data);
    return page === 6 ? decodeVolatileWriteCache(data) : decodeHostManagedHeat(data);
  },
  inquiry: decodeInquiry,
  vpd: decodeVital,
  'read-capacity-16': (data) => [decodeProvisioning(data), decodeReadCapacity(data)],
  'log-sense': decodeLogPage,
  'request-sense': decodeRequestSense,
  'defect-list': decodeDefectHeader,
  'sct-error-recovery': decodeRecoveryTime,
  'mode-sense': decodeMode,
};

const captures = readdirSync(captureFolder)
  .filter((name) => name.endsWith('.json'))
  .map((name) => ({ name, text: readFileSync(new URL(name, captureFolder), 'utf8') }))
  .map(({ name, text }) => ({ name, text, capture: parseCaptureFile(text) }));

const seed = 20_260_214;

/** Flips one byte to any other value, and cuts the page where `keep` says. */
function damage(data: Uint8Array, how: { at: number; flip: number; keep: number }): Uint8Array {
  const bytes = data.slice();
  if (bytes.length > 0) {
    const at = Math.floor(how.at * bytes.length) % bytes.length;
    bytes[at] = (bytes[at] ?? 0) ^ how.flip;
  }
  return bytes.slice(0, Math.ceil(how.keep * bytes.length));
}

const share = fc.double({ min: 0, max: 1, noNaN: true });
const damages = fc.record({
  at: fc.double({ min: 0, max: 0.999_999, noNaN: true }),
  flip: fc.integer({ min: 0, max: 255 }),
  keep: fc.oneof(fc.constant(1), share),
});

function onlyPageErrors(work: () => unknown): void {
  try {
    work();
  } catch (error) {
    if (!(error instanceof PageError)) throw error;
  }
}

describe.each(captures)('$name', ({ capture, text }) => {
  test('every page survives every cut', () => {
    for (const page of capture.pages) {
      for (let length = 0; length <= Math.min(page.data.length, 600); length += 1) {
        onlyPageErrors(() => decoders[page.record](page.data.slice(0, length), page));
      }
    }
  });

  test('flipped and cut bytes end in figures or in a PageError', () => {
    const pages = capture.pages.filter((page) => page.data.length > 0);
    const pick = fc.nat({ max: Math.max(0, pages.length - 1) });
    fc.assert(
      fc.property(pick, damages, (index, how) => {
        const page = pages[index];
        if (page === undefined) return;
        onlyPageErrors(() => decoders[page.record](damage(page.data, how), page));
      }),
      { seed, numRuns: 400 },
    );
  });

  test('a capture with damaged pages is always interpreted, and only with finite figures', () => {
    fc.assert(
      fc.property(fc.array(damages, { minLength: 1, maxLength: 6 }), (hows) => {
        const pages = capture.pages.map((page, index) => {
          const how = hows[index % hows.length];
          return how === undefined ? page : { ...page, data: damage(page.data, how) };
        });
        const damaged: Capture = { ...capture, pages };
        for (const reading of interpret(damaged).readings) {
          const measured = reading.state === 'measured';
          expect(Number.isFinite(reading.value)).toBe(measured);
          expect(reading.why === undefined).toBe(measured);
        }
      }),
      { seed, numRuns: 60 },
    );
  });

  test('a damaged file is taken whole or refused with a UserError', () => {
    fc.assert(
      fc.property(damages, (how) => {
        const bytes = damage(new TextEncoder().encode(text), how);
        try {
          interpret(parseCaptureFile(new TextDecoder().decode(bytes)));
        } catch (error) {
          expect(error).toBeInstanceOf(UserError);
        }
      }),
      { seed, numRuns: 60 },
    );
  });
});

test('no single changed byte of a page with a checksum goes unseen', () => {
  const capture = captures.find(({ name }) => name === 'healthy-disk.json')?.capture;
  const checked = capture?.pages.filter(
    ({ record, log }) => record.startsWith('smart-') || log === 6 || log === 7,
  );
  const pages = checked?.filter((page) => page.data.length === 512) ?? [];
  expect(pages.map(({ record }) => record)).toEqual([
    'smart-data',
    'smart-thresholds',
    'log',
    'log',
  ]);
  for (const page of pages) {
    for (let at = 0; at < 512; at += 1) {
      const data = page.data.slice();
      data[at] = (data[at] ?? 0) ^ 0x10;
      expect(() => decoders[page.record](data, page)).toThrow(PageError);
    }
  }
});

test('pages under a foreign name never end in an error', () => {
  const names = Object.keys(decoders) as RecordName[];
  const all = captures.flatMap(({ capture }) => capture.pages);
  const sets = ['ata', 'nvme', 'scsi'] as const;
  fc.assert(
    fc.property(
      fc.array(fc.tuple(fc.nat({ max: all.length - 1 }), fc.constantFrom(...names)), {
        maxLength: 8,
      }),
      fc.constantFrom(...sets),
      fc.integer({ min: 0, max: 255 }),
      (picks, commandSet, log) => {
        const pages = picks.flatMap(([index, record]): RawPage[] => {
          const page = all[index];
          return page === undefined ? [] : [{ ...page, record, log }];
        });
        const found = interpret({ taken: '2026-02-14T09:30:00Z', commandSet, pages });
        expect(found.readings.length).toBeGreaterThan(10);
      },
    ),
    { seed, numRuns: 300 },
  );
});

test('a capture without a page has only figures without a number', () => {
  for (const commandSet of ['ata', 'nvme', 'scsi'] as const) {
    const found = interpret({ taken: '2026-02-14T09:30:00Z', commandSet, pages: [] });
    expect(new Set(found.readings.map(({ state }) => state))).toEqual(new Set(['no-figure']));
    expect(found.hourCounters.every(({ hours }) => hours === null)).toBe(true);
  }
});
