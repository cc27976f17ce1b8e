import { describe, expect, test } from 'vitest';
import { figure, figures, interpreted, reading } from './capture-of.js';

/*
 * Captures in which every page ends too early, or holds only values that mean "none". The values
 * are named beside the bytes in tests/captures/NAME.hex.
 */

function measuredOf(name: string): readonly string[] {
  const { readings } = interpreted(name);
  return readings.filter(({ state }) => state === 'measured').map(({ metric }) => metric);
}

describe.each(['ata-cut', 'sas-cut', 'nvme-cut'])('%s', (name) => {
  const found = interpreted(name);

  test('no page that ends too early tells a figure', () => {
    expect(measuredOf(name)).toEqual([]);
    expect(found.hourCounters.every(({ hours }) => hours === null)).toBe(true);
  });

  test('each page is told once, by its name and length', () => {
    expect(new Set(found.remarks).size).toBe(found.remarks.length);
    const shape = /: expected (at least \d+ bytes|sense data), found \d+$/;
    expect(found.remarks.filter((remark) => !shape.test(remark))).toEqual([]);
  });
});

test('the cut pages are those that a drive has', () => {
  // Power mode, identity, attributes, thresholds, status, two self-test logs, six pages of
  // statistics, SCT status.
  expect(interpreted('ata-cut').remarks).toHaveLength(14);
  expect(interpreted('nvme-cut').remarks).toHaveLength(4);
});

test('a SATA disk whose records hold only "none"', () => {
  const found = interpreted('ata-none');
  const told = new Set(measuredOf('ata-none'));
  // Settings are "not there", and nothing lies behind the shown capacity.
  expect([...told]).toEqual(['drive-setting', 'hidden-sectors']);
  expect(figure(found, 'hidden-sectors')).toBe(0); // 01D1C0BEAFh + 1 = 7 814 037 168
  expect(reading(found, 'temperature').why).toContain('80h');
  expect(reading(found, 'bytes-written').why).toContain('normalised');
  expect(reading(found, 'power-on-hours').why).toContain('as not valid');
  expect(reading(found, 'reallocated-sectors').why).toContain('FFFFFFFFFFFFh');
  expect(reading(found, 'drive-verdict').why).toContain('neither of the two answers');
  expect(reading(found, 'power-mode').why).toContain('with an error');
  expect(found.identity).toMatchObject({ model: null, serial: null, worldWideName: null });
  expect(found.remarks).toEqual([]);
});

test('a SAS drive whose records hold only "none"', () => {
  const found = interpreted('sas-none');
  // 255 % is no sentinel but a field that is full; the scan's state 0 says that it does not run.
  const scan = ['background-scan', 'background-scans', 'background-scan-places'];
  expect(measuredOf('sas-none')).toEqual(['endurance-used', ...scan]);
  expect(reading(found, 'background-scan').text).toBe('not running');
  expect(reading(found, 'endurance-used')).toMatchObject({ value: 255, text: '255 % or more' });
  const expected = {
    'drive-verdict': 'no-figure', // code 77h
    temperature: 'no-figure', // FFh
    'pending-sectors': 'no-figure', // FFFFFFFFh
    'bytes-written': 'no-figure',
    'start-stops': 'no-figure',
    'grown-defects': 'no-figure', // GLISTV clear
    'self-test-result': 'no-figure', // an entry of zeros
    'power-mode': 'no-figure', // 5Eh/00h
  };
  expect(figures(found, expected)).toEqual(expected);
  expect(found.identity).toMatchObject({ serial: null, worldWideName: null, rotationRpm: null });
  expect(found.remarks).toEqual([
    'READ CAPACITY(16): expected blocks of 256 to 65536 bytes, found 0',
  ]);
});

test('wear and pending defects of a SAS solid-state drive', () => {
  const found = interpreted('sas-solid-state');
  const expected = { 'endurance-used': 42, 'pending-sectors': 3 }; // 2Ah, 3
  expect(figures(found, expected)).toEqual(expected);
  expect(found.identity.rotating).toBe(false);
});

test('an NVMe drive that was never tested', () => {
  const found = interpreted('nvme-no-tests');
  expect(reading(found, 'self-test-result').why).toBe('The log holds no test');
  expect(found.remarks).toEqual([
    'Identify Namespace: expected blocks of 2^9 to 2^16 bytes, found 2^0',
  ]);
});

describe('IDENTIFY DEVICE inside INQUIRY page 89h', () => {
  test('whole: the drive’s own identity, not the bridge’s', () => {
    expect(interpreted('bridge-identity').identity).toMatchObject({
      model: 'LARKSPUR ARC4000',
      serial: 'LK40-0001866',
      capacityBytes: 4_000_787_030_016, // 01D1C0BEB0h sectors of 512 bytes
      rotationRpm: 7200, // 1C20h
    });
  });

  test.each(['bridge-identity-cut', 'bridge-identity-none'])('%s: the bridge’s name', (name) => {
    const found = interpreted(name);
    expect(found.identity).toMatchObject({ model: 'BRIDGE 3', serial: null, capacityBytes: null });
    expect(found.remarks).toContain(
      'Model and serial are what the bridge or adapter in between says, not the drive itself',
    );
  });
});
