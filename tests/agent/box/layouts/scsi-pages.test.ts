import { describe, expect, test } from 'vitest';
import { scsiLabel } from '../../../../src/agent/box/layouts/identity-strings.js';
import { PageError } from '../../../../src/agent/box/layouts/page-error.js';
import {
  decodeDefectHeader,
  decodeRequestSense,
} from '../../../../src/agent/box/layouts/scsi-condition.js';
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
  logCounter,
  logTemperature,
  manufactureWeek,
} from '../../../../src/agent/box/layouts/scsi-logs.js';
import { pageOf } from './load-hex.js';

const bytes = (text: string) => pageOf(text.split(' ').length, { 0: text });
const log = (text: string, page: number, subpage = 0) =>
  decodeLogParameters(bytes(text), { log: page, subpage });

describe('INQUIRY and capacity', () => {
  test('READ CAPACITY(16) with blocks of 520 bytes', () => {
    const page = pageOf(32, { 0: '00 00 00 04 8C 3F FF FF 00 00 02 08' });
    // 048C3FFFFFh + 1 = 19 532 873 728 blocks.
    expect(decodeReadCapacity(page)).toEqual({
      blocks: 19_532_873_728n,
      blockBytes: 520,
      physicalBlockBytes: 520,
      protectionType: null,
    });
  });

  test('protection type is the field plus one', () => {
    // Last block 5589FFFFFh, 512 bytes, byte 12 = 03h (on, field 1), exponent 3.
    const page = pageOf(32, { 0: '00 00 00 05 58 9F FF FF 00 00 02 00 03 03' });
    expect(decodeReadCapacity(page)).toEqual({
      blocks: 22_961_717_248n,
      blockBytes: 512,
      physicalBlockBytes: 4096,
      protectionType: 2,
    });
  });

  test('blocks of no bytes are damage', () => {
    expect(() => decodeReadCapacity(new Uint8Array(32))).toThrow(PageError);
    expect(() => decodeReadCapacity(new Uint8Array(8))).toThrow(PageError);
  });

  /** "FakeDisk", a zero and a left-over "g", as the kernel's test disk fills it; "A1" and zeros. */
  test('a text of INQUIRY ends at a zero, as the kernel keeps it', () => {
    const page = pageOf(36, {
      8: '51 55 49 4C 4C 4F 4E 20',
      16: '46 61 6B 65 44 69 73 6B 00 67 20 20 20 20 20 20',
      32: '41 31 00 31',
    });
    const told = { vendor: 'QUILLON', product: 'FakeDisk', revision: 'A1' };
    expect(decodeInquiry(page)).toMatchObject(told);
    const serial = pageOf(8, { 0: '00 80 00 04 32 30 30 30' });
    expect(scsiLabel(page, serial)).toEqual({ model: 'FakeDisk', serial: '2000' });
    const odd = pageOf(36, { 8: '54 4F 4C 56 01 47 20 20' });
    expect(decodeInquiry(odd)).toMatchObject({ vendor: 'TOLV G', product: '', revision: '' });
  });

  test('standard INQUIRY and the serial page', () => {
    const page = pageOf(36, { 8: '54 4F 4C 56', 16: '47 52', 32: '47 30' });
    expect(decodeInquiry(page)).toMatchObject({ vendor: 'TOLV', product: 'GR', revision: 'G0' });
    expect(decodeSerialPage(bytes('00 80 00 03 41 42 43'))).toBe('ABC');
    expect(() => decodeSerialPage(bytes('00 80 00 04 41 42 43'))).toThrow(PageError);
    expect(() => decodeSerialPage(bytes('00 83 00 00'))).toThrow(PageError);
  });

  test('the NAA name of the unit, not of a port', () => {
    // First a port's name (association 1), then the unit's.
    const port = '01 13 00 08 50 C5 0A 3A 2B 4D 6C 99';
    const unit = '01 03 00 08 50 C5 0A 3A 2B 4D 6C 10';
    expect(decodeNamePage(bytes(`00 83 00 18 ${port} ${unit}`))).toBe('50c50a3a2b4d6c10');
    expect(decodeNamePage(bytes(`00 83 00 0C ${port}`))).toBeNull();
  });

  test('rotation and the IDENTIFY DEVICE inside page 89h', () => {
    expect(decodeCharacteristicsPage(bytes('00 B1 00 04 1C 20 00 00'))).toBe(7200);
    expect(decodeCharacteristicsPage(bytes('00 B1 00 04 00 01 00 00'))).toBe('solid-state');
    expect(decodeCharacteristicsPage(bytes('00 B1 00 04 00 00 00 00'))).toBe('not-told');
    const carried = pageOf(572, { 1: '89 02 38', 56: 'EC', 60: '40 00', 80: '41 4C 53 42' });
    expect(decodeAtaInformationPage(carried).serial).toBe('LABS');
    carried[56] = 0xa1;
    expect(() => decodeAtaInformationPage(carried)).toThrow(PageError);
  });
});

describe('log pages', () => {
  test('counters of any width', () => {
    // Seagate SCSI Commands Reference Rev. J p. 328: parameter 0006h.
    const read = log('03 00 00 0C 00 06 00 08 00 00 00 00 00 00 00 02', 0x03);
    expect(logCounter(read, 6)).toBe(2);
    expect(logCounter(read, 5)).toBeNull();
    const odd = log('03 00 00 13 00 05 00 03 01 00 00 00 06 00 08 FF FF FF FF FF FF FF FF', 0x03);
    expect(logCounter(odd, 5)).toBe(65_536);
    expect(logCounter(odd, 6)).toBeNull();
    const large = log('03 00 00 0C 00 05 00 08 00 20 00 00 00 00 00 01', 0x03);
    expect(logCounter(large, 5)).toBeNull();
  });

  test('temperature and reference, FFh for none', () => {
    const page = log('0D 00 00 0C 00 00 03 02 00 1F 00 01 03 02 00 3C', 0x0d);
    expect([logTemperature(page, 0), logTemperature(page, 1)]).toEqual([31, 60]);
    expect(logTemperature(log('0D 00 00 06 00 00 03 02 00 FF', 0x0d), 0)).toBeNull();
  });

  test('another page than asked for, and parameters that are cut off', () => {
    expect(() => log('0D 00 00 00', 0x0e)).toThrow(PageError);
    expect(() => log('0D 00 00 06 00 00 03 02 00', 0x0d)).toThrow(PageError);
    // 55h: page 15h with the subpage bit.
    expect(logCounter(log('55 01 00 08 00 00 03 04 00 00 00 07', 0x15, 1), 0)).toBe(7);
    expect(() => log('55 01 00 00', 0x15)).toThrow(PageError);
  });

  test('power-on minutes of the background scan', () => {
    const page = log('15 00 00 10 00 00 03 0C 00 26 B0 E0 00 01 00 05 00 00 00 05', 0x15);
    expect(decodeBackgroundScan(page)).toEqual({ powerOnMinutes: 2_535_648, status: 1 });
    // 0016E360h = 1 500 000 minutes = 25 000 h.
    const other = log('15 00 00 10 00 00 03 0C 00 16 E3 60 00 00 00 00 00 00 00 00', 0x15);
    expect(decodeBackgroundScan(other)?.powerOnMinutes).toBe(1_500_000);
  });

  test('informational exceptions', () => {
    const page = log('2F 00 00 07 00 00 03 03 00 00 26', 0x2f);
    expect(decodeExceptions(page)).toEqual({ code: 0, qualifier: 0 });
    expect(decodeExceptions(log('2F 00 00 07 00 00 03 03 5D 10 26', 0x2f))?.code).toBe(0x5d);
    expect(decodeExceptions(log('2F 00 00 00', 0x2f))).toBeNull();
  });

  test('week of manufacture and endurance', () => {
    const made = log('0E 00 00 0A 00 01 01 06 32 30 31 39 31 34', 0x0e);
    expect(manufactureWeek(made)).toEqual({ year: 2019, week: 14 });
    expect(manufactureWeek(log('0E 00 00 00', 0x0e))).toBeNull();
    expect(enduranceUsed(log('11 00 00 08 00 01 03 04 00 00 00 2A', 0x11))).toBe(42);
  });

  test('self-test results, newest first', () => {
    const entry = '00 01 03 10 47 01 FF FF 00 00 00 00 00 12 D6 87 03 11 00 00';
    const found = decodeScsiSelfTests(log(`10 00 00 14 ${entry}`, 0x10));
    // 47h: code 2, result 7; 0012D687h = 1 234 567.
    expect(found).toEqual([{ test: 2, code: 7, hours: 65_535, failingLba: 1_234_567n }]);
  });
});

describe('defect list and sense', () => {
  test('entries are 8 bytes in format 5, 4 in short block format', () => {
    // Seagate SCSI Commands Reference Rev. J p. 161: 28h = 40 bytes.
    expect(decodeDefectHeader(bytes('00 0D 00 00 00 00 00 28'))).toBe(5);
    expect(decodeDefectHeader(bytes('00 08 00 00 00 00 00 28'))).toBe(10);
    expect(decodeDefectHeader(bytes('00 05 00 00 00 00 00 28'))).toBeNull();
    expect(() => decodeDefectHeader(bytes('00 0D 00 00 00 00 00 29'))).toThrow(PageError);
  });

  test.each([
    ['70 00 00 00 00 00 00 0A 00 00 00 00 00 00', 0xff],
    ['70 00 00 00 00 00 00 0A 00 00 00 00 5E 04', 0x00],
    ['72 00 5E 02', 0x00],
    ['72 00 5E 09', 0x01],
    ['72 00 5E 01', 0x81],
    ['72 00 5E 06', 0x82],
    // 5E/00 says "low power" without saying which.
    ['72 00 5E 00', null],
    ['72 02 04 02', 0x00],
    ['72 02 04 01', null],
  ])('sense %s as a power mode', (text, mode) => {
    expect(decodeRequestSense(bytes(text)).powerMode).toBe(mode);
  });

  test('progress of a self-test', () => {
    const sense = pageOf(18, { 0: '70 00 00', 12: '04 09', 15: '80 40 00' });
    // 4000h of 10000h.
    expect(decodeRequestSense(sense).selfTestPercentDone).toBe(25);
    sense[15] = 0;
    expect(decodeRequestSense(sense).selfTestPercentDone).toBeNull();
  });

  test('bytes that are no sense data', () => {
    expect(() => decodeRequestSense(new Uint8Array(0))).toThrow(PageError);
    expect(() => decodeRequestSense(bytes('00 00 00 00'))).toThrow(PageError);
  });
});
