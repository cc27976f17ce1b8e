import { describe, expect, test } from 'vitest';
import {
  decodeSmartData,
  decodeSmartStatus,
  decodeSmartThresholds,
  selfTestStatus,
} from '../../../../src/agent/box/layouts/ata-smart.js';
import { PageError } from '../../../../src/agent/box/layouts/page-error.js';
import { pageOf } from './load-hex.js';

/** Revision 10h, one attribute, tests as below: sums up to 6Dh short of a multiple of 256. */
const smartPage = {
  0: '10',
  2: '09 32 00 5B 5B 10 A5 00 00 00 00 00',
  363: 'F7',
  367: '5B',
  372: '02 FF',
  375: '86 04',
  511: '6D',
};

describe('SMART data', () => {
  test('an attribute has id, flags, values and 48 raw bits', () => {
    const { attributes } = decodeSmartData(pageOf(512, smartPage));
    expect(attributes).toHaveLength(1);
    // 00A510h = 42 256; flags 0032h have bit 0 clear (Fujitsu MPG3 p. 5-56).
    expect(attributes[0]).toMatchObject({
      id: 9,
      flags: 0x32,
      preFail: false,
      current: 91,
      worst: 91,
      raw: 42_256,
    });
  });

  test('self-test status, abilities and minutes', () => {
    const found = decodeSmartData(pageOf(512, smartPage));
    expect(found.selfTest).toEqual({ code: 15, percentLeft: 70 });
    // 5Bh = bits 0, 1, 3, 4, 6.
    expect(found.abilities).toEqual({
      offline: true,
      readScan: true,
      selfTest: true,
      conveyanceTest: false,
      selectiveTest: true,
    });
    // FFh sends the reader to 0486h = 1158 (Hitachi 7K1000.B p. 210).
    expect(found.shortTestMinutes).toBe(2);
    expect(found.extendedTestMinutes).toBe(1158);
    expect(found.conveyanceTestMinutes).toBeNull();
  });

  test('without FFh the byte counts and the word is not looked at', () => {
    // 36h instead of FFh takes C9h off the sum, so the checksum grows by C9h: 6Dh + C9h = 36h.
    const page = pageOf(512, { ...smartPage, 372: '02 36', 511: '36' });
    expect(decodeSmartData(page).extendedTestMinutes).toBe(54);
  });

  test('raw values are exact up to 48 bits, and 0, 254 and 255 are no values', () => {
    // FEh + FFh + 6 * FFh + 01h = 8F8h: checksum 08h.
    const page = pageOf(512, { 2: '01 00 00 FE FF FF FF FF FF FF FF', 511: '08' });
    expect(decodeSmartData(page).attributes[0]).toMatchObject({
      current: null,
      worst: null,
      raw: 281_474_976_710_655,
    });
  });

  test('a wrong checksum or a short page is a PageError', () => {
    expect(() => decodeSmartData(pageOf(512, { ...smartPage, 511: '6C' }))).toThrow(PageError);
    expect(() => decodeSmartData(pageOf(512, smartPage).subarray(0, 511))).toThrow(PageError);
  });

  test('thresholds are found by id, whatever their order', () => {
    // 10h + C5h + 05h + 24h = FEh: checksum 02h.
    const page = pageOf(512, { 0: '10', 2: 'C5 00', 26: '05 24', 511: '02' });
    expect([...decodeSmartThresholds(page)]).toEqual([
      [197, 0],
      [5, 36],
    ]);
  });
});

describe('SMART status', () => {
  const status = (text: string) => decodeSmartStatus(pageOf(12, { 0: text }));

  test.each([
    // LBA bytes 1 and 2 are 4Fh C2h or F4h 2Ch (QEMU 7.2 hw/ide/core.c; all ATA editions).
    ['00 50 40 00 00 00 4F C2 00 00 00 00', 'passing'],
    ['00 50 40 00 00 00 F4 2C 00 00 00 00', 'failing'],
    ['00 50 40 00 00 00 00 00 00 00 00 00', 'no-answer'],
    ['00 50 40 00 00 00 C2 4F 00 00 00 00', 'no-answer'],
    // Aborted: the registers still hold what was sent, which must not read as passing.
    ['04 51 40 00 00 00 4F C2 00 00 00 00', 'no-answer'],
    ['00 70 40 00 00 00 4F C2 00 00 00 00', 'no-answer'],
  ])('%s is %s', (text, meaning) => {
    expect(status(text)).toBe(meaning);
  });

  test('eleven bytes are no task file', () => {
    expect(() => decodeSmartStatus(new Uint8Array(11))).toThrow(PageError);
  });
});

test.each([
  // Hitachi E7K100 p. 155, Fujitsu MHY2200BH table 5.13.
  [0xf7, 15, 70],
  [0x74, 7, 40],
  [0x20, 2, 0],
  [0xf9, 15, 90],
  [0x29, 2, 90],
  [0x11, 1, 10],
])('self-test status byte %i', (byte, code, percentLeft) => {
  expect(selfTestStatus(byte)).toEqual({ code, percentLeft });
});
