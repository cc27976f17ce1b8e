import { describe, expect, test } from 'vitest';
import { interpret } from '../../../src/agent/probes/interpret.js';
import { captureOf, figure, interpreted, reading } from './capture-of.js';

/*
 * Worked out by hand from tests/captures/logged-errors*.hex with HGST HC580 p. 197, 212, 318 and
 * 319, Linux 6.1 libata-sata.c for log 10h, and ACS from memory for what is marked so there.
 */

describe('error and link logs that hold something', () => {
  const found = interpreted('logged-errors');

  test('the count and the newest entry of the long log, with its 48-bit place', () => {
    expect(figure(found, 'errors-logged')).toBe(7); // log 03h +500; log 01h says 9
    expect(reading(found, 'last-error-logged')).toMatchObject({
      value: 0x40,
      // 01 34 56 78h = 20 207 224; 2BA4h = 11 172.
      text: 'queued read: a place could not be read, sector 20207224, at 11172 h',
      source: 'extended error log 03h, newest entry',
    });
  });

  test('every kept error is told once, newest first', () => {
    expect(found.remarks).toEqual([
      'The drive logged queued read: a place could not be read, sector 20207224, at 11172 h',
      'The drive logged queued write: transfer damaged on the cable, refused or broken off by the drive, at 10000 h',
    ]);
  });

  test('without the long log the short one tells its 28-bit place', () => {
    const capture = captureOf('logged-errors');
    const pages = capture.pages.filter(({ log }) => log !== 3);
    // 2 345678h = 36 984 440; 03E8h = 1000.
    expect(reading(interpret({ ...capture, pages }), 'last-error-logged').text).toBe(
      'read: a place could not be read, sector 36984440, at 1000 h',
    );
  });

  test('the queue’s last error', () => {
    expect(reading(found, 'last-queue-error')).toMatchObject({
      value: 0x40,
      text: 'a place could not be read, sector 20207224, queue place 3',
    });
  });

  test('link counters by what they count; a full one and a maker’s own say so', () => {
    const events = found.readings.filter(({ metric }) => metric === 'link-events');
    expect(events.map(({ place, value, text }) => [place, value, text])).toEqual([
      ['commands ended by a damaged transfer', 5, undefined],
      ['link started anew', 2, undefined],
      ['checksum errors, to the drive', 65_535, 'this many or more'],
      ['counter 8001h, meaning not known', 7, undefined],
    ]);
  });

  test('hours of the newest entries are records of age', () => {
    const hours = Object.fromEntries(found.hourCounters.map((one) => [one.name, one.hours]));
    expect(hours['Newest entry of extended error log 03h']).toBe(11_172);
    expect(hours['Newest entry of error log 01h']).toBe(1000);
  });
});

test('logs that end too early give reasons, no figures', () => {
  const found = interpreted('logged-errors-cut');
  for (const metric of ['errors-logged', 'link-events', 'last-queue-error']) {
    expect(reading(found, metric).why).toContain('expected at least 512 bytes');
  }
  expect(found.readings.some(({ metric }) => metric === 'last-error-logged')).toBe(false);
  expect(found.remarks).toHaveLength(4);
});

test('empty logs count nothing and name no error', () => {
  const found = interpreted('logged-errors-none');
  expect(figure(found, 'errors-logged')).toBe(0);
  expect(reading(found, 'last-queue-error')).toMatchObject({
    value: 0,
    text: 'none since power-on',
  });
  expect(figure(found, 'link-events', 'commands ended by a damaged transfer')).toBe(0);
  expect(found.readings.some(({ metric }) => metric === 'last-error-logged')).toBe(false);
  expect(found.remarks).toEqual([]);
});

test('a round that did not ask for the rare logs says nothing of them', () => {
  const metrics = interpreted('pending-sectors').readings.map(({ metric }) => metric);
  for (const metric of ['errors-logged', 'link-events', 'last-queue-error']) {
    expect(metrics).not.toContain(metric);
  }
});
