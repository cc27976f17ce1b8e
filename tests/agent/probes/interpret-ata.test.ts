import { describe, expect, test } from 'vitest';
import { figure, figures, interpreted, reading } from './capture-of.js';

/*
 * Expected values are worked out by hand from the bytes in tests/captures/NAME.hex and the tables
 * named beside them: Device Statistics and SCT by HGST HC580 and Intel SSD 730, SMART by Hitachi
 * 7K500 and 5K320, IDENTIFY DEVICE by Linux 6.1 include/linux/ata.h, the rest of ACS from memory.
 */

describe('a sound disk with statistics', () => {
  const found = interpreted('healthy-disk');

  test('identity', () => {
    expect(found.identity).toEqual({
      model: 'LARKSPUR ARC4000',
      serial: 'LK40-0001877',
      firmware: 'LK12',
      worldWideName: '50c50a3a2b4d6c01',
      // 1D1C0BEB0h = 7 814 037 168 sectors of 512 bytes.
      capacityBytes: 4_000_787_030_016,
      logicalBlockBytes: 512,
      physicalBlockBytes: 4096,
      rotationRpm: 7200,
      rotating: true,
    });
  });

  test('the standard record wins over the attribute', () => {
    const expected = {
      'power-on-hours': 42_256, // page 1 +16, A510h
      temperature: 31, // page 5 +8
      'temperature-highest': 51, // page 5 +32
      'temperature-limit': 60, // page 5 +88
      'reallocated-sectors': 0, // page 3 +32
      'pending-sectors': 0, // page 3 +56
      'uncorrectable-sectors': 0, // attribute 198
      'uncorrectable-errors-reported': 0, // page 4 +8
      'commands-overdue': 2, // attribute 188
      'interface-crc-errors': 2, // page 6 +24
      'head-loads': 1234, // page 3 +24; attribute 193 says 1240
      'start-stops': 90, // attribute 4
      'power-cycles': 87, // page 1 +8
      'emergency-head-parks': 12, // page 3 +64; attribute 192 says 40
      'bytes-written': 512_000_000_000_000, // 10^12 sectors of 512 bytes
      'bytes-read': 1_024_000_000_000_000, // 2 * 10^12 sectors
      'drive-verdict': 0, // 4Fh C2h
      'self-test-result': 0,
      'self-test-running': 'no-figure',
      'power-mode': 255,
      'sata-link-speed': 6_000_000_000,
      'sata-link-speed-possible': 6_000_000_000,
      'seek-errors': 'no-figure',
      seeks: 'no-figure',
      'read-errors': 'no-figure',
      'endurance-used': 'no-figure',
    };
    expect(figures(found, expected)).toEqual(expected);
    expect(reading(found, 'power-on-hours').source).toBe(
      'Device Statistics page 1, power-on hours',
    );
    expect(reading(found, 'endurance-used').why).toBe(
      'The drive keeps no Device Statistics page 7',
    );
  });

  test('every record of age is listed', () => {
    expect(found.hourCounters.map(({ hours }) => hours)).toEqual([
      42_256, // attribute 9
      42_256, // page 1 +16
      42_000, // page 3 +8, A410h
      41_800, // page 3 +16, A348h
      42_200, // log 07h, A4D8h
      42_200, // log 06h
    ]);
    expect(found.remarks).toEqual([]);
  });
});

test('pending sectors and a failed self-test', () => {
  const found = interpreted('pending-sectors');
  const expected = {
    'reallocated-sectors': 24, // attribute 5, 18h
    'pending-sectors': 8, // attribute 197
    'uncorrectable-sectors': 8, // attribute 198
    'uncorrectable-errors-reported': 5, // attribute 187
    'power-on-hours': 42_256, // attribute 9, A510h
    temperature: 38, // attribute 194, first raw byte 26h
    'self-test-result': 7, // status byte 74h
    'bytes-written': 'no-figure',
  };
  expect(figures(found, expected)).toEqual(expected);
  // 02345678h = 36 984 440.
  expect(reading(found, 'self-test-result').text).toBe(
    'Extended self-test failed: a place could not be read with 40 % left at 4000 h, first failing sector 36984440',
  );
  expect(reading(found, 'power-on-hours').source).toBe('attribute 9, unit taken as hours');
  expect(reading(found, 'bytes-written').why).toBe(
    'Not asked: the drive does not list Device Statistics',
  );
});

test('a link below what the drive can run', () => {
  const found = interpreted('downshifted-link');
  // Word 77 = 0084h: code 2.
  expect(figure(found, 'sata-link-speed')).toBe(3_000_000_000);
  expect(figure(found, 'sata-link-speed-possible')).toBe(6_000_000_000);
  expect(found.remarks).toEqual(['The link runs at 3 Gb/s, the drive could do 6 Gb/s']);
  // Nothing but the identity was captured.
  expect(reading(found, 'drive-verdict')).toMatchObject({
    state: 'no-figure',
    why: 'The capture holds no SMART status',
  });
  expect(reading(found, 'power-on-hours').why).toBe(
    'The capture holds no Device Statistics page 1; The capture holds no SMART data',
  );
});

test('4096-byte sectors count in bytes written, and sentinels are no figures', () => {
  const found = interpreted('four-kilobyte-sectors');
  expect(found.identity).toMatchObject({
    // 3A3817D6h = 976 754 646 sectors of 4096 bytes.
    capacityBytes: 4_000_787_030_016,
    logicalBlockBytes: 4096,
    physicalBlockBytes: 4096,
  });
  expect(figure(found, 'bytes-written')).toBe(4_096_000);
  expect(reading(found, 'bytes-read').why).toContain('normalised');
  expect(figure(found, 'temperature')).toBe(-5); // FBh
  expect(reading(found, 'temperature-highest').why).toContain('80h');
  expect(reading(found, 'temperature-limit').why).toContain('0 °C');
  expect(reading(found, 'head-loads').why).toContain('keeps no Device Statistics page 3');
});

test('a damaged page takes its figures away and no others', () => {
  const found = interpreted('damaged-smart-data');
  expect(found.remarks).toEqual([
    "SMART data: expected 512 bytes that add up to 00h modulo 256 (the page's checksum), found 01h",
  ]);
  expect(figure(found, 'reallocated-sectors')).toBe('no-figure');
  expect(figure(found, 'power-on-hours')).toBe('no-figure');
  expect(figure(found, 'temperature')).toBe(29); // SCT status, 1Dh
  expect(figure(found, 'temperature-highest')).toBe('no-figure'); // SCT 80h
  expect(figure(found, 'drive-verdict')).toBe(0);
  expect(reading(found, 'power-mode')).toMatchObject({ value: 128, text: 'idle' });
});

test('a sleeping drive is asleep in every figure but its power mode', () => {
  const found = interpreted('standby');
  expect(reading(found, 'power-mode')).toMatchObject({ value: 0, text: 'standby: asleep' });
  const others = found.readings.filter(({ metric }) => metric !== 'power-mode');
  expect(new Set(others.map(({ state }) => state))).toEqual(new Set(['asleep']));
  expect(others.every(({ value }) => value === null)).toBe(true);
  expect(found.identity.serial).toBeNull();
});

test('a solid-state drive past its endurance', () => {
  const found = interpreted('sata-ssd');
  expect(found.identity).toMatchObject({ rotationRpm: null, rotating: false });
  expect(figure(found, 'endurance-used')).toBe(103); // page 7 +8, 67h
  expect(figure(found, 'power-on-hours')).toBe(20_000); // 4E20h
  // Attribute 241 differs from maker to maker and is not read.
  expect(figure(found, 'bytes-written')).toBe('no-figure');
  expect(reading(found, 'error-recovery-time-limit').why).toContain('no such limit');
});

test('the disk that QEMU emulates', () => {
  const found = interpreted('qemu-disk');
  expect(found.identity).toMatchObject({
    model: 'QEMU HARDDISK',
    serial: 'QM00002',
    firmware: '2.5+',
    worldWideName: null,
    capacityBytes: 1_073_741_824, // 2 097 152 sectors
    logicalBlockBytes: 512,
    physicalBlockBytes: 512,
    rotationRpm: null,
  });
  // QEMU 7.2 hw/ide/core.c.
  const expected = {
    'power-on-hours': 1,
    temperature: 31,
    'start-stops': 100,
    'power-cycles': 0,
    'reallocated-sectors': 0,
    'drive-verdict': 0,
    'self-test-result': 0,
    'sata-link-speed': 'no-figure',
    'sata-link-speed-possible': 'no-figure',
    'pending-sectors': 'no-figure',
  };
  expect(figures(found, expected)).toEqual(expected);
  // Stamp 1234h = 4660 h on a drive that counts 1 h.
  expect(found.hourCounters.at(-1)).toEqual({
    name: 'Newest entry of self-test log 06h',
    hours: 4660,
    source: 'self-test log 06h, 16 bits, starts again after 65 535',
  });
});

test('behind a bridge everything is not visible, and the name is the bridge’s', () => {
  const found = interpreted('usb-bridge');
  expect(new Set(found.readings.map(({ state }) => state))).toEqual(new Set(['not-visible']));
  expect(found.identity).toMatchObject({ model: 'Dock 2', firmware: '0104', capacityBytes: null });
  expect(found.remarks).toEqual([
    'Model and serial are what the bridge or adapter in between says, not the drive itself',
  ]);
});

test('packed raw values are told apart or not told', () => {
  const found = interpreted('packed-attributes');
  const expected = {
    // EC 00 30 0E 2E 05: 052Eh = 1326 over 0E3000ECh = 238 026 988; -10*log10 = 52.54, shown 53.
    'seek-errors': 1326,
    seeks: 238_026_988,
    // 5 over 0A000000h: 75.25, shown 100: does not agree.
    'read-errors': 'no-figure',
    'commands-overdue': 1, // 0001 0001 0001h: the lowest word is all of them
    'reallocated-sectors': 'no-figure', // 0001 0000 0000h
    'power-on-hours': 'no-figure', // 1 200 000 are no hours
    temperature: 33, // 21h of 21 00 0B 00 33 00
  };
  expect(figures(found, expected)).toEqual(expected);
  expect(reading(found, 'reallocated-sectors').why).toContain('000100000000h');
});

test('an attribute that was cleared while the statistics were not', () => {
  const found = interpreted('cleared-attribute');
  expect(figure(found, 'power-on-hours')).toBe(21_870); // page 1 +16, 556Eh
  expect(found.remarks).toEqual([
    'Two hour counters disagree: attribute 9 says 12 h, Device Statistics say 21870 h',
    // The entry of log 01h holds a stamp and nothing else.
    'The drive logged command 00h: error 00h, meaning not known, at 21850 h',
  ]);
  const hours = Object.fromEntries(found.hourCounters.map((one) => [one.name, one.hours]));
  expect(hours).toEqual({
    'Power-on hours, attribute': 12,
    'Power-on hours, statistics': 21_870,
    'Spindle hours': 21_824, // 5540h
    'Head flying hours': 21_760, // 5500h
    'Newest entry of self-test log 06h': 3,
    'Highest stamp of self-test log 06h': 21_840, // 5550h
    'Newest entry of error log 01h': 21_850, // 555Ah
  });
});

test('lost status registers: thresholds stand in and say so', () => {
  const found = interpreted('lost-status-registers');
  const verdict = reading(found, 'drive-verdict');
  // Attribute 5 is pre-fail (flags 0033h), stands at 9, threshold 36.
  expect(verdict.value).toBe(1);
  expect(verdict.text).toBe('Attribute 5 is at or below its threshold');
  expect(verdict.source).toContain('attributes against thresholds');
  expect(figure(found, 'self-test-running')).toBe(70); // F7h
  expect(figure(found, 'temperature')).toBe('no-figure'); // 80h
  expect(figure(found, 'reallocated-sectors')).toBe(16_384);
});

test('a drive that says itself that it is failing, with a self-test under way', () => {
  const found = interpreted('failing-disk');
  expect(figure(found, 'drive-verdict')).toBe(1); // F4h 2Ch
  expect(figure(found, 'self-test-running')).toBe(70);
  // 01 07 5B CD 15h = 4 418 424 085; the entry under way is passed over.
  expect(reading(found, 'self-test-result')).toMatchObject({
    value: 7,
    text: 'Extended self-test failed: a place could not be read with 30 % left at 564 h, first failing sector 4418424085',
  });
  expect(figure(found, 'reallocated-sectors')).toBe(65_535);
});

test('a hidden area, SMART off and a password', () => {
  const found = interpreted('hidden-area');
  // Last native address 1D1C0BEAFh, so 7 814 037 168 sectors against 7 811 940 016 shown.
  expect(found.remarks).toEqual([
    'The drive hides 2097152 sectors (1073741824 bytes) behind its shown capacity',
    'SMART is switched off in the drive',
    'The drive is locked by a password and gives no data',
  ]);
  expect(reading(found, 'reallocated-sectors').why).toContain('switched off');
  expect(reading(found, 'power-mode').text).toBe('idle, kind b'); // 82h
});
