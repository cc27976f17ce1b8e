import { describe, expect, test } from 'vitest';
import { figure, figures, interpreted, reading } from './capture-of.js';

/* NVMe by Linux 6.1 include/linux/nvme.h, SCSI by the Seagate SCSI Commands Reference Rev. J. */

describe('NVMe', () => {
  test('a sound drive', () => {
    const found = interpreted('nvme-healthy');
    expect(found.identity).toMatchObject({
      model: 'QUILLON SWIFT 1000',
      serial: 'QN1T-33018',
      firmware: 'QS2.1',
      worldWideName: '0c50a3a100000007',
      capacityBytes: 1_000_204_886_016, // 74706DB0h blocks of 512 bytes
      logicalBlockBytes: 512,
      rotationRpm: null,
      rotating: false,
    });
    const expected = {
      'drive-verdict': 0,
      'critical-warning': 0,
      temperature: 37, // 0136h = 310 K
      'temperature-limit': 70, // 0157h = 343 K
      'spare-left': 100,
      'spare-limit': 10,
      'endurance-used': 3,
      'bytes-read': 1_024_000_000_000, // 2 000 000 units of 512 000 bytes
      'bytes-written': 512_000_000_000,
      'power-cycles': 155,
      'power-on-hours': 10_000,
      'unsafe-shutdowns': 12,
      'media-and-data-errors': 0,
      'self-test-result': 0,
      'self-test-running': 'no-figure',
    };
    expect(figures(found, expected)).toEqual(expected);
    expect(figure(found, 'temperature-limit', 'critical')).toBe(100); // 0175h = 373 K
    expect(figure(found, 'temperature', 'sensor 2')).toBe(50); // 0143h = 323 K
    expect(reading(found, 'self-test-result').text).toBe(
      'Extended self-test completed without error at 5000 h',
    );
    expect(found.hourCounters.map(({ hours }) => hours)).toEqual([10_000, 5000]);
  });

  test('a warning of degraded reliability', () => {
    const found = interpreted('nvme-warning');
    const expected = {
      'drive-verdict': 1,
      'critical-warning': 4, // bit 2
      temperature: 26, // 012Bh = 299 K
      'spare-left': 95, // 5Fh
      'spare-limit': 10,
      'endurance-used': 7,
      'bytes-written': 512_000_000_000,
      'media-and-data-errors': 17, // 11h
      'self-test-result': 7,
      'self-test-running': 70, // 1Eh = 30 % done
    };
    expect(figures(found, expected)).toEqual(expected);
    expect(reading(found, 'critical-warning').text).toBe('reliability degraded');
    expect(reading(found, 'self-test-result').text).toBe(
      'Short self-test failed: part known at 9999 h, first failing block 4096',
    );
  });

  test('counters that no double holds, and sentinels', () => {
    const found = interpreted('nvme-odd-counters');
    const expected = {
      // Bit 1 alone: too hot or too cold now, which is no fault of the drive.
      'drive-verdict': 0,
      'critical-warning': 2,
      temperature: 'no-figure', // 0 K
      'temperature-limit': 'no-figure', // 0 K
      'spare-left': 'no-figure', // 255 %
      'spare-limit': 'no-figure',
      'endurance-used': 255, // saturated
      'bytes-read': 'no-figure', // (2^53 + 1) * 512 000
      'bytes-written': 5_120_000_000_000_000, // 10^10 units
      'power-cycles': 'no-figure', // 2^128 - 1
      'power-on-hours': 'no-figure', // 2^53 + 1
      'unsafe-shutdowns': 4_328_719_365, // 0102030405h
      'media-and-data-errors': 'no-figure', // 2^64: no count
      'self-test-result': 'no-figure',
    };
    expect(figures(found, expected)).toEqual(expected);
    expect(reading(found, 'endurance-used').text).toBe('255 % or more');
    expect(reading(found, 'self-test-result').why).toBe(
      'Not asked: the drive does not do self-tests',
    );
    // Without a namespace page the controller's own total is told.
    expect(found.identity.capacityBytes).toBe(1_000_204_886_016);
    expect(found.hourCounters[0]?.hours).toBeNull();
  });
});

describe('SCSI', () => {
  test('a sound SAS disk with log pages', () => {
    const found = interpreted('sas-disk');
    expect(found.identity).toMatchObject({
      model: 'GRANITE 10K',
      serial: 'GR10K-004512',
      firmware: 'G003',
      worldWideName: '50c50a3a2b4d6c10',
      capacityBytes: 1_200_243_490_816, // 8BBA0B20h = 2 344 225 568 blocks of 512 bytes
      physicalBlockBytes: 4096,
      rotationRpm: 10_800, // 2A30h
    });
    const expected = {
      'drive-verdict': 0,
      'power-on-hours': 42_260.8, // 0026B0E0h = 2 535 648 minutes
      temperature: 31, // 1Fh
      'temperature-limit': 60, // 3Ch
      'read-errors': 2, // page 03h, 0006h
      'uncorrectable-errors-reported': 3, // pages 02h, 03h, 05h: 1 + 2 + 0
      'grown-defects': 5, // 28h bytes of 8
      'start-stops': 300, // 012Ch
      'head-loads': 10_000, // 2710h
      'bytes-written': 5_000_000_000_000, // 048C27395000h
      'bytes-read': 10_000_000_000_000, // 09184E72A000h
      'self-test-result': 0,
      'power-mode': 255,
      'endurance-used': 'no-figure',
      'pending-sectors': 'no-figure',
    };
    expect(figures(found, expected)).toEqual(expected);
    expect(found.hourCounters.map(({ hours }) => hours)).toEqual([42_260.8, 42_250, 65_535]);
    expect(found.remarks).toEqual(['Made in week 14 of 2019']);
  });

  test('blocks of 520 bytes cannot be used as they are', () => {
    const found = interpreted('sas-520-byte-blocks');
    // 048C3FFFFFh + 1 = 19 532 873 728 blocks.
    expect(found.identity.capacityBytes).toBe(10_157_094_338_560);
    expect(found.identity.logicalBlockBytes).toBe(520);
    expect(found.remarks[0]).toContain('blocks of 520 bytes and cannot be used before a reformat');
    expect(found.remarks[1]).toBe('The drive is formatted with protection of type 2');
    expect(reading(found, 'temperature').why).toBe('The capture holds no LOG SENSE page 0Dh');
  });

  test('a drive that expects to fail, and a page that is cut off', () => {
    const found = interpreted('sas-failing');
    expect(reading(found, 'drive-verdict')).toMatchObject({
      value: 1, // code 5Dh (IBM 146Z10 p. 230)
      text: 'The drive says that it is failing (5Dh/10h)',
    });
    // Page 0Dh is cut; byte 6 of page 2Fh's parameter holds 42h.
    expect(reading(found, 'temperature')).toMatchObject({
      value: 66,
      source: 'LOG SENSE page 2Fh, temperature',
    });
    expect(found.remarks).toEqual(['LOG SENSE page 0Dh: expected at least 14 bytes, found 12']);
    expect(figure(found, 'self-test-running')).toBe(75); // 4000h of 10000h done
    expect(reading(found, 'grown-defects').why).toContain('no grown list');
  });
});
