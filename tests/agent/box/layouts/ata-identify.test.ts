import { describe, expect, test } from 'vitest';
import { decodeAtaIdentify } from '../../../../src/agent/box/layouts/ata-identify.js';
import { PageError } from '../../../../src/agent/box/layouts/page-error.js';
import { pageOf } from './load-hex.js';

/** Word n lies at byte 2n. Word 0 = 0040h: a disk. */
const disk = { 0: '40 00' };

describe('IDENTIFY DEVICE', () => {
  test('strings have their bytes swapped in pairs', () => {
    // Linux 6.1 libata-core.c ata_id_string: 41 4C 53 42 reads "LABS".
    const found = decodeAtaIdentify(pageOf(512, { ...disk, 20: '41 4C 53 42 52 45 30 30' }));
    expect(found.serial).toBe('LABSER00');
    expect(found.model).toBe('');
  });

  test('a checksum is verified only when byte 510 says that there is one', () => {
    // 40h + 20h + 1Ch + A5h = 121h, so byte 511 is DFh.
    const places = { ...disk, 434: '20 1C', 510: 'A5 DF' };
    const found = decodeAtaIdentify(pageOf(512, places));
    expect(found.checksumPresent).toBe(true);
    expect(found.rotation).toBe(7200);
    expect(() => decodeAtaIdentify(pageOf(512, { ...places, 511: 'DE' }))).toThrow(PageError);
    const none = decodeAtaIdentify(pageOf(512, { ...disk, 434: '20 1C', 510: '00 DE' }));
    expect(none.checksumPresent).toBe(false);
  });

  test.each([
    // Word 106 = 6003h: 512 logical, 2^3 logical in one physical (Linux 6.1 include/linux/ata.h).
    ['03 60', '', 512, 4096],
    // Word 106 = 5000h, words 117-118 = 0800h words of two bytes.
    ['00 50', '00 08 00 00', 4096, 4096],
    // Bits 15:14 are not 01: nothing is told, 512 it is.
    ['03 20', '00 08 00 00', 512, 512],
    ['00 00', '', 512, 512],
  ])('sector sizes from word 106 = %s', (word106, word117, logical, physical) => {
    const sizes = word117 === '' ? {} : { 234: word117 };
    const found = decodeAtaIdentify(pageOf(512, { ...disk, 212: word106, ...sizes }));
    expect([found.logicalBlockBytes, found.physicalBlockBytes]).toEqual([logical, physical]);
  });

  test.each([
    // Word 76 = 850Eh: 1.5, 3 and 6 Gb/s; word 77 bits 3:1 are the code now (ACS-3, from memory).
    ['0E 85', '84 00', 6e9, 3e9],
    ['0E 85', '86 00', 6e9, 6e9],
    ['06 00', '02 00', 3e9, 1.5e9],
    ['0E 85', '00 00', 6e9, null],
    ['00 01', '00 00', null, null],
    ['00 00', '86 00', null, null],
    ['FF FF', '86 00', null, null],
    ['0E 85', 'FF FF', 6e9, null],
  ])('link speeds from words 76 = %s and 77 = %s', (word76, word77, possible, running) => {
    const found = decodeAtaIdentify(pageOf(512, { ...disk, 152: word76, 154: word77 }));
    expect([found.linkSpeedPossible, found.linkSpeedRunning]).toEqual([possible, running]);
  });

  test('capacity is the 48-bit one where word 83 says that it is there', () => {
    const both = { 120: 'FF FF FF 0F', 200: 'B0 BE C0 D1 01 00 00 00' };
    // Word 83 = 4400h: valid and bit 10. 1D1C0BEB0h = 7 814 037 168.
    const wide = decodeAtaIdentify(pageOf(512, { ...disk, ...both, 166: '00 44' }));
    expect(wide.sectors).toBe(7_814_037_168n);
    // 0FFFFFFFh = 268 435 455, where the 28-bit field stops.
    expect(decodeAtaIdentify(pageOf(512, { ...disk, ...both })).sectors).toBe(268_435_455n);
  });

  test('a world-wide name counts only when word 87 says so', () => {
    // (word 87 & C100h) = 4100h (Linux 6.1 ata_id_has_wwn); most significant word first.
    const name = { 216: 'C5 50 3A 0A 4D 2B 01 6C' };
    const valid = decodeAtaIdentify(pageOf(512, { ...disk, ...name, 174: '00 41' }));
    expect(valid.worldWideName).toBe('50c50a3a2b4d6c01');
    const not = decodeAtaIdentify(pageOf(512, { ...disk, ...name, 174: '00 40' }));
    expect(not.worldWideName).toBeNull();
  });

  test.each([
    ['01 00', 'solid-state'],
    ['00 00', 'not-told'],
    ['00 04', 'not-told'],
    ['01 04', 0x401],
    ['FE FF', 0xfffe],
    ['FF FF', 'not-told'],
  ])('rotation from word 217 = %s', (word217, rotation) => {
    expect(decodeAtaIdentify(pageOf(512, { ...disk, 434: word217 })).rotation).toBe(rotation);
  });

  test('abilities come from words 82 to 87, 128 and 206', () => {
    const found = decodeAtaIdentify(
      pageOf(512, {
        ...disk,
        164: '01 00 00 40 23 40 01 00 00 00 20 40',
        256: '07 00',
        412: '29 00',
      }),
    );
    expect(found.smartSupported).toBe(true);
    expect(found.smartEnabled).toBe(true);
    expect(found.selfTestSupported).toBe(true);
    expect(found.generalLogs).toBe(true);
    expect(found.security).toEqual({ supported: true, enabled: true, locked: true, frozen: false });
    // Word 206 = 0029h: bits 0, 3 and 5.
    expect(found.sct).toEqual({ supported: true, errorRecoveryControl: true, dataTables: true });
  });

  test('pages that are no identity are refused', () => {
    expect(() => decodeAtaIdentify(new Uint8Array(512))).toThrow(PageError);
    expect(() => decodeAtaIdentify(new Uint8Array(512).fill(0xff))).toThrow(PageError);
    expect(() => decodeAtaIdentify(pageOf(511, disk))).toThrow(PageError);
    // Word 0 bit 15: a packet device, such as an optical drive.
    expect(() => decodeAtaIdentify(pageOf(512, { 0: '40 80' }))).toThrow(PageError);
    // 117-118 = 0: a logical sector of no bytes.
    expect(() => decodeAtaIdentify(pageOf(512, { ...disk, 212: '00 50' }))).toThrow(PageError);
  });
});
