import { expect, test } from 'vitest';
import {
  decodeNvmeController,
  decodeNvmeHealth,
  decodeNvmeNamespace,
  decodeNvmeSelfTestLog,
} from '../../../../src/agent/box/layouts/nvme.js';
import { PageError } from '../../../../src/agent/box/layouts/page-error.js';
import { pageOf } from './load-hex.js';

test('health log: warning, kelvins, percents and 128-bit counters', () => {
  // Linux 6.1 include/linux/nvme.h struct nvme_smart_log.
  const found = decodeNvmeHealth(
    pageOf(512, {
      0: '04 2B 01 5F 0A 07',
      48: '40 42 0F',
      128: '10 27',
      144: '00 00 00 00 00 00 00 00 01',
      200: '36 01 00 00 FF FF',
    }),
  );
  expect(found).toMatchObject({
    criticalWarning: 4,
    // 012Bh = 299 K, less 273.
    temperature: 26,
    sparePercent: 95,
    spareLimitPercent: 10,
    usedPercent: 7,
    unitsWritten: 1_000_000n,
    powerOnHours: 10_000n,
    unsafeShutdowns: 18_446_744_073_709_551_616n,
  });
  expect(found.sensors.slice(0, 3)).toEqual([37, null, null]);
});

test('310 K is 37 °C, 0 K is none', () => {
  expect(decodeNvmeHealth(pageOf(512, { 1: '36 01' })).temperature).toBe(37);
  expect(decodeNvmeHealth(pageOf(512, {})).temperature).toBeNull();
});

test('controller: strings are not swapped, limits in kelvin', () => {
  // WCTEMP 0157h = 343 K, CCTEMP 0175h = 373 K.
  const found = decodeNvmeController(
    pageOf(4096, { 4: '51 4E 31 20', 24: '53 57', 64: '51 53', 256: '10 00', 266: '57 01 75 01' }),
  );
  expect(found).toMatchObject({
    serial: 'QN1',
    model: 'SW',
    firmware: 'QS',
    warningTemperature: 70,
    criticalTemperature: 100,
    selfTestSupported: true,
  });
});

test('namespace: the format in use gives the block size', () => {
  // Byte 26 = 1: second format at 132; LBADS = 0Ch: 4096 bytes.
  const places = { 0: '00 10', 26: '01', 130: '09', 134: '0C' };
  expect(decodeNvmeNamespace(pageOf(4096, places))).toEqual({
    blocks: 4096n,
    blockBytes: 4096,
    worldWideName: null,
  });
  expect(() => decodeNvmeNamespace(pageOf(4096, { 130: '05' }))).toThrow(PageError);
});

test('self-test log: newest first, unused entries are left out', () => {
  const found = decodeNvmeSelfTestLog(
    pageOf(564, { 0: '02 1E', 4: '17 00 02 00 0F 27', 20: '00 10', 32: '2F', 60: '20', 64: '05' }),
  );
  expect(found).toEqual({
    running: 2,
    percentDone: 30,
    newestFirst: [
      { test: 1, code: 7, hours: 9999, failingLba: 4096n, failingPart: 0, status: null },
      { test: 2, code: 0, hours: 5, failingLba: null, failingPart: null, status: null },
    ],
  });
  expect(() => decodeNvmeSelfTestLog(new Uint8Array(563))).toThrow(PageError);
});
