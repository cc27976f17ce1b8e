import { describe, expect, test } from 'vitest';
import { decodeErrorRecoveryMode } from '../../../src/agent/box/layouts/scsi-mode.js';
import { pageOf } from '../box/layouts/load-hex.js';
import { figure, figures, interpreted, reading } from './capture-of.js';

/* Mode pages by SPC and SBC from memory; log pages by the Seagate manual, Rev. J p. 312 to 328. */

const settings = (name: string) =>
  Object.fromEntries(
    interpreted(name)
      .readings.filter(({ metric }) => metric === 'drive-setting')
      .map(({ place, text }) => [place, text]),
  );

describe('settings and counters of a SAS disk', () => {
  const found = interpreted('sas-modes');

  test('mode pages: the limit, the tries, the caches, the prediction', () => {
    expect(figure(found, 'error-recovery-time-limit')).toBe(7000); // 1B58h
    expect(figure(found, 'error-retries', 'reading')).toBe(11);
    expect(figure(found, 'error-retries', 'writing')).toBe(5);
    expect(settings('sas-modes')).toEqual({
      'protection of blocks': 'off', // byte 12 bit 0 clear
      trim: 'not there', // byte 14 bit 7 clear
      'moving bad places, writing': 'on', // C0h bit 7
      'moving bad places, reading': 'on', // bit 6
      'write protection': 'off',
      'write cache': 'off', // 10h bit 2
      'read cache': 'on',
      'read ahead': 'on',
      'prediction of failure': 'on', // 10h bit 3 clear
      warnings: 'on', // bit 4
    });
    expect(found.remarks).toEqual([]);
  });

  test('corrected errors and errors beside the medium', () => {
    expect(figure(found, 'errors-corrected', 'writing')).toBe(10); // 0003h
    expect(figure(found, 'errors-corrected-late', 'writing')).toBe(3); // 0001h
    expect(figure(found, 'tries-repeated', 'writing')).toBe(7); // 0002h
    expect(figure(found, 'non-medium-errors')).toBe(42); // 2Ah
  });

  test('general statistics, also in place of bytes that page 02h does not count', () => {
    const expected = {
      'read-commands': 1_000_000, // 0F4240h
      'write-commands': 500_000, // 07A120h
      'bytes-written': 549_755_813_888, // 40000000h blocks of 512 bytes
      'bytes-read': 1_024_000_000_000, // 77359400h blocks
    };
    expect(figures(found, expected)).toEqual(expected);
    expect(reading(found, 'bytes-written').source).toBe('LOG SENSE page 19h, blocks');
  });

  test('the drive’s own scan', () => {
    expect(reading(found, 'background-scan')).toMatchObject({
      value: 1,
      text: 'running over the whole surface',
    });
    expect(figure(found, 'background-scan-done')).toBe(50); // 8000h of 10000h
    expect(figure(found, 'background-scans')).toBe(12); // 0Ch
    expect(reading(found, 'background-scan-places')).toMatchObject({
      value: 2,
      text: 'the first: block 1234567, not readable (sense 3h/11h/00h)',
    });
  });

  test('starts and head loads that it is made for', () => {
    const disk = interpreted('sas-disk');
    expect(figure(disk, 'start-stops-rated')).toBe(50_000); // C350h
    expect(figure(disk, 'head-loads-rated')).toBe(600_000); // 0927C0h
  });

  test('amounts by the maker’s own page', () => {
    const links = interpreted('sas-links');
    expect(figure(links, 'bytes-read', 'maker’s own page')).toBe(10_000_000_000_000);
    expect(figure(links, 'bytes-written', 'maker’s own page')).toBe(5_000_000_000_000);
    expect(figure(links, 'grown-defects')).toBe(5); // no defect list was read
  });
});

test('pages that end too early: no figure, each told once', () => {
  const found = interpreted('sas-modes-cut');
  const told = found.readings.filter(({ state }) => state === 'measured');
  expect(told).toEqual([]);
  expect(reading(found, 'error-recovery-time-limit').why).toContain('at least 20 bytes');
  expect([...found.remarks].sort()).toEqual([
    'LOG SENSE page 02h: expected at least 12 bytes, found 9',
    'LOG SENSE page 06h: expected at least 12 bytes, found 9',
    'LOG SENSE page 15h: expected at least 44 bytes, found 30',
    'LOG SENSE page 19h: expected at least 72 bytes, found 20',
    'Mode page 01h: expected at least 20 bytes, found 14',
    'Mode page 08h: expected at least 17 bytes, found 12',
    'Mode page 1Ch: expected at least 10 bytes, found 9',
  ]);
});

test('values that mean none, everything off, writes refused', () => {
  const found = interpreted('sas-modes-none');
  expect(reading(found, 'error-recovery-time-limit').why).toContain('gives 0');
  expect(settings('sas-modes-none')).toEqual({
    'moving bad places, writing': 'off',
    'moving bad places, reading': 'off',
    'write protection': 'on', // byte 3 bit 7
    'write cache': 'off',
    'read cache': 'off', // bit 0
    'read ahead': 'off', // byte 12 bit 5
    'prediction of failure': 'off', // 0Ch bit 3
    warnings: 'off',
  });
  const metrics = found.readings.map(({ metric }) => metric);
  for (const metric of ['errors-corrected', 'non-medium-errors', 'read-commands']) {
    expect(metrics).not.toContain(metric);
  }
  expect(figure(found, 'bytes-written')).toBe('no-figure');
  expect(reading(found, 'background-scan').text).toBe('waiting for its time');
  expect(figure(found, 'background-scan-places')).toBe(0);
  expect(found.remarks).toEqual([
    'The drive is set to refuse writes',
    'The drive’s prediction of failure is switched off: its verdict tells little',
    'The drive is set to report a made-up failure, to try the way of the message',
  ]);
});

test('another page than the one asked for is not believed', () => {
  const page = pageOf(28, { 1: '1A', 8: '08 12' });
  expect(() => decodeErrorRecoveryMode(page)).toThrow(
    'Mode page 01h: expected page code 01h in byte 8, found 08h',
  );
});

test('a round that asked for no mode page says nothing of settings', () => {
  const { readings } = interpreted('sas-disk');
  const metrics = readings.map(({ metric }) => metric);
  expect(metrics).not.toContain('error-recovery-time-limit');
  const sources = readings.map(({ source }) => source);
  expect(sources.filter((source) => source.startsWith('mode page'))).toEqual([]);
});
