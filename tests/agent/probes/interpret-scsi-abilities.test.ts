import { describe, expect, test } from 'vitest';
import { interpreted, reading } from './capture-of.js';

/*
 * Worked out by hand from tests/captures/sas-zoned*.hex with SBC and ZBC (from memory), Linux 6.1
 * libata-scsi.c (page B1h) and HGST C15K600 p. 131 (week of manufacture).
 */

function settings(name: string) {
  const all = interpreted(name).readings.filter(({ metric }) => metric === 'drive-setting');
  return Object.fromEntries(all.map(({ place, value, text }) => [place, [value, text]]));
}

describe('a disk whose zones the host has to manage', () => {
  const found = interpreted('sas-zoned');

  test('settings', () => {
    expect(settings('sas-zoned')).toEqual({
      trim: [1, 'there, reads as zeros then'], // C0h: bits 7 and 6
      'protection of blocks': [0, 'off'],
      'first aligned block': [7, '7'], // 0007h
      zones: [1, 'managed by the host'], // device type 14h
      'form factor': [1, '3.5 inch'], // 2
    });
  });

  test('when it was made', () => {
    expect(reading(found, 'drive-made')).toMatchObject({ value: 202_309, text: 'week 9 of 2023' });
  });

  test('what a person should know', () => {
    expect(found.remarks).toEqual([
      'Made in week 9 of 2023',
      'The drive takes writes only in the order of its zones: no plain array or file system can use it',
    ]);
  });
});

test('pages that end too early tell none of it', () => {
  expect(settings('sas-zoned-cut')).toEqual({});
  const { readings, remarks } = interpreted('sas-zoned-cut');
  expect(readings.filter(({ state }) => state === 'measured')).toEqual([]);
  expect(remarks).toContain('INQUIRY page B1h: expected at least 64 bytes, found 7');
});

test('values that mean none, and zeros after a trim that is not there', () => {
  expect(settings('sas-zoned-none')).toEqual({
    trim: [0, 'not there'],
    'protection of blocks': [0, 'off'],
  });
  const { readings, remarks } = interpreted('sas-zoned-none');
  expect(readings.map(({ metric }) => metric)).not.toContain('drive-made');
  expect(remarks).toEqual([]);
});
