import { describe, expect, test } from 'vitest';
import {
  decodeErrorLog,
  decodeExtendedErrorLog,
} from '../../../../src/agent/box/layouts/ata-error-log.js';
import { decodeSctStatus } from '../../../../src/agent/box/layouts/ata-sct.js';
import {
  decodeExtendedSelfTestLog,
  decodeSelfTestLog,
} from '../../../../src/agent/box/layouts/ata-self-test.js';
import {
  decodeStatisticsList,
  decodeStatisticsPage,
  type StatisticName,
} from '../../../../src/agent/box/layouts/ata-statistics.js';
import { PageError } from '../../../../src/agent/box/layouts/page-error.js';
import { pageOf } from './load-hex.js';

describe('self-test log 06h', () => {
  // HGST HC580 p. 319; the sum of these bytes is 303h, so the checksum is FDh.
  const page = {
    0: '01',
    2: '01 00 D2 04',
    26: '02 74 A0 0F 00 78 56 34 02',
    508: '02',
    511: 'FD',
  };

  test('newest first, with the failing sector of a read failure only', () => {
    expect(decodeSelfTestLog(pageOf(512, page))).toEqual([
      // 02345678h = 36 984 440.
      { test: 2, code: 7, percentLeft: 40, hours: 4000, failingLba: 36_984_440 },
      { test: 1, code: 0, percentLeft: 0, hours: 1234, failingLba: null },
    ]);
  });

  test('the walk goes on from slot 1 to slot 21', () => {
    // Newest in slot 1 (05h hours), before it slot 21 at 2 + 20 * 24 = 482 (04h hours), rest empty.
    // 01h + 01h + 05h + 01h + 04h + 01h = 0Dh: checksum F3h.
    const places = { 0: '01', 2: '01 00 05', 482: '01 00 04', 508: '01', 511: 'F3' };
    const hours = decodeSelfTestLog(pageOf(512, places)).map((test) => test.hours);
    expect(hours).toEqual([5, 4]);
  });

  test('index 0 is an empty log, above 21 a damaged one', () => {
    expect(decodeSelfTestLog(pageOf(512, { 0: '01', 511: 'FF' }))).toEqual([]);
    expect(() => decodeSelfTestLog(pageOf(512, { 0: '01', 508: '16', 511: 'E9' }))).toThrow(
      PageError,
    );
  });
});

describe('extended self-test log 07h', () => {
  test('26-byte entries with a 48-bit address', () => {
    // HGST HC580 p. 205: number, status, hours, checkpoint, six bytes of address.
    const bytes = pageOf(512, { 0: '01', 2: '01 00', 4: '02 72 0A 00 00 BC 9A 78 56 34 12' });
    bytes[511] = (256 - (bytes.reduce((sum, byte) => sum + byte, 0) % 256)) % 256;
    // 123456789ABCh = 20 015 998 343 868.
    expect(decodeExtendedSelfTestLog(bytes)).toEqual([
      { test: 2, code: 7, percentLeft: 20, hours: 10, failingLba: 20_015_998_343_868 },
    ]);
  });

  test('a page holds 19 entries, the next page goes on', () => {
    const pages = pageOf(1024, {
      0: '01',
      2: '14 00',
      472: '01 00 07',
      512: '01',
      516: '01 00 08',
    });
    for (const start of [0, 512]) {
      const page = pages.subarray(start, start + 512);
      page[511] = (256 - (page.reduce((sum, byte) => sum + byte, 0) % 256)) % 256;
    }
    // Index 20 = the first slot of the second page; before it slot 19 at 472 = 1D8h.
    expect(decodeExtendedSelfTestLog(pages).map((test) => test.hours)).toEqual([8, 7]);
    expect(() => decodeExtendedSelfTestLog(pages.subarray(0, 512))).toThrow(PageError);
  });
});

describe('error logs', () => {
  test('hours of the newest errors and the count', () => {
    // Entry 1 from byte 2, its error part +28..29 of the last 30 bytes = byte 90. 64h = 100 h.
    const places = { 0: '01', 1: '01', 90: '64 00', 452: '07 00', 511: '93' };
    expect(decodeErrorLog(pageOf(512, places))).toMatchObject({
      count: 7,
      entries: [{ hours: 100 }],
    });
    const past = { 0: '01', 1: '06', 511: 'F9' };
    expect(() => decodeErrorLog(pageOf(512, past))).toThrow(PageError);
  });

  test('the extended log keeps its hours at +122 of an entry of 124 bytes', () => {
    // Entry 2 starts at 128, its hours lie at 250. C8h = 200 h.
    const places = { 0: '01', 2: '02 00', 250: 'C8 00', 500: '02 00', 511: '33' };
    expect(decodeExtendedErrorLog(pageOf(512, places))).toMatchObject({
      count: 2,
      entries: [{ hours: 200 }],
    });
  });

  test('an index past the pages that were read leaves the count alone', () => {
    const places = { 0: '01', 2: '09 00', 500: '0A 00', 511: 'EC' };
    expect(decodeExtendedErrorLog(pageOf(512, places))).toEqual({ count: 10, entries: [] });
  });
});

describe('Device Statistics', () => {
  const value = (bytes: Uint8Array, page: number, name: StatisticName) =>
    decodeStatisticsPage(bytes, page)?.get(name);

  test('page 1: hours and sectors written', () => {
    // Intel SSD 730 specification p. 21: +16 hours, +24 sectors written.
    const page = pageOf(512, {
      0: '01 00 01 00 00 00 00 00',
      16: '10 A5 00 00 00 00 00 C0',
      24: '00 10 A5 D4 E8 00 00 C0',
      40: '01 00 00 00 00 00 00 80',
    });
    expect(value(page, 1, 'power-on hours')).toEqual({ usable: true, value: 42_256 });
    expect(value(page, 1, 'logical sectors written')).toEqual({
      usable: true,
      value: 1_000_000_000_000,
    });
    // Flags 80h: supported, not valid. Flags 00h: not kept.
    expect(value(page, 1, 'logical sectors read')?.usable).toBe(false);
    expect(value(page, 1, 'power-on resets')?.usable).toBe(false);
  });

  test('page 5: temperatures are signed, 80h is none, E0h is normalised', () => {
    const page = pageOf(512, {
      0: '01 00 05',
      8: 'FB 00 00 00 00 00 00 C0',
      32: '80 00 00 00 00 00 00 C0',
      40: '10 00 00 00 00 00 00 E0',
    });
    expect(value(page, 5, 'current temperature')).toEqual({ usable: true, value: -5 });
    expect(value(page, 5, 'highest temperature')?.usable).toBe(false);
    expect(value(page, 5, 'lowest temperature')?.usable).toBe(false);
  });

  test('revision 0 says that the page is not kept; another page number is damage', () => {
    expect(decodeStatisticsPage(new Uint8Array(512), 3)).toBeNull();
    expect(() => decodeStatisticsPage(pageOf(512, { 0: '01 00 04' }), 3)).toThrow(PageError);
    expect(() => decodeStatisticsPage(pageOf(511, { 0: '01 00 03' }), 3)).toThrow(PageError);
  });

  test('page 0 lists the pages', () => {
    // HGST HC580 p. 198: count in byte 8, then the numbers.
    expect(decodeStatisticsList(pageOf(512, { 0: '01 00 00', 8: '03 00 01 05' }))).toEqual([
      0, 1, 5,
    ]);
  });
});

describe('SCT status', () => {
  test('temperatures, 80h for none, and counts', () => {
    // HGST HC580 p. 92: 200 now, 201-202 this cycle, 203-204 life, 206-209 over limit.
    const page = pageOf(512, { 0: '03 00', 200: '1F 12 24 80 33 00 03 00 00 00' });
    expect(decodeSctStatus(page)).toMatchObject({
      temperature: 31,
      lowestThisCycle: 18,
      highestThisCycle: 36,
      lowestEver: null,
      highestEver: 51,
      overLimitCount: 3,
    });
  });

  test('F6h is -10 °C', () => {
    const page = pageOf(512, { 0: '02 00', 200: 'F6' });
    expect(decodeSctStatus(page).temperature).toBe(-10);
  });

  test('other format versions are refused', () => {
    expect(() => decodeSctStatus(pageOf(512, { 0: '04 00' }))).toThrow(PageError);
    expect(() => decodeSctStatus(new Uint8Array(512))).toThrow(PageError);
  });
});
