import { describe, expect, test } from 'vitest';
import type { SmartAttribute } from '../../../src/agent/box/layouts/ata-smart.js';
import {
  attributeHours,
  commandsOverdue,
  headFlyingHours,
  highestTemperature,
  linkDownshifts,
  packedRate,
  timedWear,
} from '../../../src/agent/probes/attribute-families.js';
import { figures, interpreted, reading } from './capture-of.js';

/** Six raw bytes, lowest first, as they lie on the wire. */
function attribute(id: number, bytes: string, current = 100): SmartAttribute {
  const rawBytes = Uint8Array.from(bytes.split(' '), (byte) => Number.parseInt(byte, 16));
  const raw = rawBytes.reduceRight((sum, byte) => sum * 256 + byte, 0);
  return { id, flags: 0, preFail: false, current, worst: current, raw, rawBytes };
}

const st = { model: 'ST4000ZZ999', hours: null };
const other = { model: 'TOLVANE E02', hours: null };

describe('packed rates (kind stated: superuser.com/questions/1675004)', () => {
  test('1326 errors in 238 026 988 seeks, shown as 53', () => {
    const seeks = attribute(7, 'EC 00 30 0E 2E 05', 53);
    expect(packedRate(seeks, st)).toEqual({
      told: true,
      value: { errors: 1326, operations: 238_026_988 },
    });
    expect(packedRate(seeks, other).told).toBe(false);
  });

  test('no errors count as one in the rate, and are told as none', () => {
    // 01000000h = 16 777 216: 72.25, shown as 72.
    const read = packedRate(attribute(7, '00 00 00 01 00 00', 72), st);
    expect(read).toEqual({ told: true, value: { errors: 0, operations: 16_777_216 } });
  });
});

test('packed counts of overdue commands (layout: trade knowledge; numbers made up)', () => {
  expect(commandsOverdue(attribute(188, '01 00 01 00 01 00'), st)).toMatchObject({ value: 1 });
  expect(commandsOverdue(attribute(188, '01 00 01 00 01 00'), other).told).toBe(false);
  expect(commandsOverdue(attribute(188, '07 00 00 00 00 00'), other)).toMatchObject({ value: 7 });
  // 5 over 5 s cannot be among 1.
  expect(commandsOverdue(attribute(188, '01 00 05 00 00 00'), st).told).toBe(false);
});

test('temperature words (layout: trade knowledge; numbers made up)', () => {
  const family = { model: 'Hitachi HTS990099ZZ9', hours: null };
  const words = attribute(194, '21 00 0B 00 33 00');
  expect(highestTemperature(words, family)).toMatchObject({ value: 51 });
  expect(highestTemperature(words, st).told).toBe(false);
  // Now 33 above a highest of 11: other words than these.
  expect(highestTemperature(attribute(194, '21 00 00 00 0B 00'), family).told).toBe(false);
});

describe('20 000 hours in four units, the unit told by another record (numbers made up)', () => {
  const age = { model: 'TOLVANE E02', hours: 20_000 };
  test.each([
    ['20 4E 00 00 00 00', 'hours'],
    ['80 4F 12 00 00 00', 'minutes'], // 1 200 000
    ['00 9F 24 00 00 00', 'half minutes'], // 2 400 000
    ['00 A2 4A 04 00 00', 'seconds'], // 72 000 000
  ])('%s is %s', (bytes, unit) => {
    const found = attributeHours(attribute(9, bytes), age);
    expect(found).toEqual({ told: true, value: { hours: 20_000, unit, agreed: true } });
  });

  test('without a witness only a count that can be hours is told', () => {
    expect(attributeHours(attribute(9, '20 4E 00 00 00 00'), other)).toMatchObject({
      value: { hours: 20_000, agreed: false },
    });
    expect(attributeHours(attribute(9, '80 4F 12 00 00 00'), other).told).toBe(false);
  });

  test('the stamp of a self-test decides where it leaves one unit', () => {
    // 1 200 000: as hours too many, as minutes 20 000, as half minutes 10 000, as seconds 333.
    const count = attribute(9, '80 4F 12 00 00 00');
    expect(attributeHours(count, { ...other, hoursMin: 15_000 })).toEqual({
      told: true,
      value: { hours: 20_000, unit: 'minutes', agreed: true },
    });
    expect(attributeHours(count, { ...other, hoursMin: 9000 }).told).toBe(false);
    expect(attributeHours(count, { ...other, hoursMin: 30_000 }).told).toBe(false);
  });

  test('a unit that was learned by watching decides where no record agrees', () => {
    const learned = { ...other, learnedUnit: 'minutes' } as const;
    // 1 200 000 is too much for hours; 20 000 could be hours, and as minutes is 333.
    expect(attributeHours(attribute(9, '80 4F 12 00 00 00'), learned)).toEqual({
      told: true,
      value: { hours: 20_000, unit: 'minutes', agreed: false, learned: true },
    });
    expect(attributeHours(attribute(9, '20 4E 00 00 00 00'), learned)).toMatchObject({
      value: { hours: 333, unit: 'minutes' },
    });
    const halves = { ...other, learnedUnit: 'half hours' } as const;
    expect(attributeHours(attribute(9, '20 4E 00 00 00 00'), halves)).toMatchObject({
      value: { hours: 10_000 },
    });
    // 34 years and more is no age, whatever was learned.
    const hours = { ...other, learnedUnit: 'hours' } as const;
    expect(attributeHours(attribute(9, '80 4F 12 00 00 00'), hours).told).toBe(false);
    // The standard's record wins: 20 000 h against what would be 333 h.
    expect(
      attributeHours(attribute(9, '20 4E 00 00 00 00'), { ...age, ...learned, hours: 20_000 }),
    ).toEqual({
      told: true,
      value: { hours: 20_000, unit: 'hours', agreed: true },
    });
  });

  test('a witness of a few hours decides nothing', () => {
    // 120 could be hours, or minutes on a drive that is 2 hours old.
    const young = { ...other, hours: 2 };
    expect(attributeHours(attribute(9, '78 00 00 00 00 00'), young)).toMatchObject({
      value: { hours: 120, agreed: false },
    });
  });

  test('a fraction above the low 32 bits (Intel SSD 520 manual p. 18)', () => {
    const intel = { model: 'INTEL SSDSC2BW120A4', hours: null };
    expect(attributeHours(attribute(9, '20 4E 00 00 CC 5F'), intel)).toMatchObject({
      value: { hours: 20_000 },
    });
    expect(attributeHours(attribute(9, '20 4E 00 00 CC 5F'), other).told).toBe(false);
  });
});

test('head flying hours only where the family and the age allow (trade knowledge)', () => {
  const flown = attribute(240, '38 4A 00 00 21 43'); // 4A38h = 19 000
  expect(headFlyingHours(flown, { ...st, hours: 20_000 })).toMatchObject({ value: 19_000 });
  expect(headFlyingHours(flown, { ...st, hours: 15_000 }).told).toBe(false);
  expect(headFlyingHours(flown, st).told).toBe(false);
  expect(headFlyingHours(flown, { ...other, hours: 20_000 }).told).toBe(false);
});

test('falls of the link (Micron TN-FD-22) and wear in a window (Intel DC S3500 p. 24)', () => {
  const micron = { model: 'Micron_ZZ00_INVENTED', hours: null };
  expect(linkDownshifts(attribute(183, '03 00 00 00 00 00'), micron)).toMatchObject({ value: 3 });
  expect(linkDownshifts(attribute(183, 'FF FF 00 00 00 00'), micron).told).toBe(false);
  expect(linkDownshifts(attribute(183, '03 00 00 00 00 00'), other).told).toBe(false);
  const intel = { model: 'INTEL SSDSC2BB300G4', hours: null };
  // 4450 / 1024 = 4.345703125.
  expect(timedWear(attribute(226, '62 11 00 00 00 00'), intel)).toMatchObject({
    value: 4.345703125,
  });
  expect(timedWear(attribute(226, 'FF FF 00 00 00 00'), intel).told).toBe(false);
  expect(timedWear(attribute(226, '00 FF 03 00 00 00'), intel).told).toBe(false);
});

describe('whole captures', () => {
  test('values that agree with their witnesses are told', () => {
    const found = interpreted('families-agree');
    const expected = {
      'read-errors': 5, // 5 over 0A000000h: 75.25, shown 75
      'seek-errors': 0,
      seeks: 16_777_216, // 01000000h
      'commands-overdue': 9,
      'power-on-hours': 20_000, // page 1 +16, 4E20h
    };
    expect(figures(found, expected)).toEqual(expected);
    const hours = Object.fromEntries(found.hourCounters.map((one) => [one.name, one.hours]));
    expect(hours).toMatchObject({
      'Power-on hours, attribute': 20_000, // 1 200 000 minutes
      'Head flying hours, attribute': 19_000, // 4A38h
    });
    expect(found.hourCounters[0]?.source).toBe('attribute 9, minutes, as another record agrees');
  });

  test('where two records tell the same thing, agreement and disagreement are readings', () => {
    const found = interpreted('families-agree');
    expect(reading(found, 'records-disagree', 'power-on hours').value).toBe(0);
    expect(reading(found, 'records-disagree', 'interface CRC errors')).toMatchObject({
      value: 1,
      text: 'attribute 199 says 64, Device Statistics page 6, interface CRC errors 2',
    });
  });

  test('values that contradict their witnesses are not told', () => {
    const found = interpreted('families-contradict');
    const expected = {
      'read-errors': 'no-figure',
      'seek-errors': 'no-figure',
      'commands-overdue': 'no-figure',
      'temperature-highest': 'no-figure',
      temperature: 33, // first raw byte 21h
      'power-on-hours': 15_000, // page 1 +16, 3A98h
    };
    expect(figures(found, expected)).toEqual(expected);
    expect(found.hourCounters.map(({ hours }) => hours)).toEqual([null, 15_000, null, null]);
    expect(reading(found, 'commands-overdue').why).toContain('contradict each other');
  });

  test('SMART data that ends too early tells nothing', () => {
    const found = interpreted('families-cut');
    const expected = { 'read-errors': 'no-figure', 'power-on-hours': 'no-figure' };
    expect(figures(found, expected)).toEqual(expected);
    expect(found.remarks).toHaveLength(1);
  });
});
