import { describe, expect, test } from 'vitest';
import { missing } from '../../../src/agent/box/box.js';
import { collectPages } from '../../../src/agent/probes/collect-pages.js';
import { interpret } from '../../../src/agent/probes/interpret.js';
import { addressFor, oneDriveBox } from '../../box/one-drive-box.js';
import { makeSimClock } from '../../box/sim-clock.js';
import { makeSimDrive } from '../../box/sim-drive.js';
import { captureOf, figure, interpreted, reading } from './capture-of.js';

/*
 * Worked out by hand from tests/captures/ata-traits*.hex with Linux 6.1 include/linux/ata.h,
 * Toshiba MK6017MAP p. 85, Intel DC S3610 p. 26, and ACS from memory.
 */

function settings(name: string) {
  const all = interpreted(name).readings.filter(({ metric }) => metric === 'drive-setting');
  return Object.fromEntries(all.map(({ place, text }) => [place, text]));
}

describe('traits and further figures that are there', () => {
  const found = interpreted('ata-traits');

  test('what it is', () => {
    expect(settings('ata-traits')).toMatchObject({
      'form factor': '2.5 inch', // word 168 = 3
      standard: 'ACS-4', // word 80 bit 11
      'first aligned sector': '7', // 8 - 1
      'zeros after trim': 'there',
      'password lock': 'locked, frozen until power-off, no more tries',
      'self-tests': 'short, extended, conveyance, selective', // 7Bh
      'trusted computing': 'there',
      'zones written at once': '128 at most', // 80h
    });
    expect(figure(found, 'drive-memory')).toBe(268_435_456); // 10000000h
  });

  test('how long its tests take', () => {
    expect(figure(found, 'self-test-time', 'short')).toBe(2);
    expect(figure(found, 'self-test-time', 'extended')).toBe(120); // 78h
    expect(figure(found, 'self-test-time', 'conveyance')).toBe(5);
  });

  test.each([
    ['write-commands', undefined, 1_000_000], // 0F4240h
    ['read-commands', undefined, 2_000_000], // 1E8480h
    ['workload-used', undefined, 42], // 2Ah
    ['free-falls', undefined, 2],
    ['shocks', undefined, 5],
    ['read-recoveries', undefined, 3],
    ['start-failures', undefined, 1],
    ['surface-states-changed', undefined, 4],
    ['temperature', undefined, -5], // FBh
    ['temperature-lowest', undefined, -10], // F6h
    ['temperature-average', 'short term', 30], // 1Eh
    ['temperature-average', 'long term', 29], // 1Dh
    ['temperature-average', 'short term, highest', 45], // 2Dh
    ['temperature-average', 'short term, lowest', 5],
    ['temperature-average', 'long term, highest', 40], // 28h
    ['temperature-average', 'long term, lowest', 10], // 0Ah
    ['time-under-temperature', undefined, 60], // 3Ch
    ['temperature-limit', 'lowest allowed', 5],
    ['hardware-resets', undefined, 9],
    ['signal-recoveries', undefined, 2],
  ] as const)('%s %s: %d', (metric, place, value) => {
    expect(figure(found, metric, place)).toBe(value);
  });

  test('the figure whose limit was passed, and no other', () => {
    // Flags D8h; D0h was not passed, C8h cannot be watched.
    expect(reading(found, 'limits-passed')).toMatchObject({
      value: 1,
      text: 'mechanical start failures',
    });
  });

  test('two records of who it is, compared in either order of letters', () => {
    expect(figure(found, 'records-disagree', 'serial')).toBe(0);
    expect(figure(found, 'records-disagree', 'model')).toBe(0);
    expect(reading(found, 'records-disagree', 'firmware')).toMatchObject({
      value: 1,
      text: '"LK62" in the one, "LK61" in the other',
    });
  });
});

const further = ['free-falls', 'limits-passed', 'drive-memory', 'self-test-time', 'shocks'];

test('pages that end too early tell none of it', () => {
  const found = interpreted('ata-traits-cut');
  expect(found.readings.filter(({ state }) => state === 'measured')).toEqual([]);
  expect(found.remarks).toContain(
    'IDENTIFY DEVICE data page 9: expected at least 512 bytes, found 64',
  );
});

test('values that mean none', () => {
  const found = interpreted('ata-traits-none');
  // Word 59 = 0000h says that there is no way to erase itself.
  expect(settings('ata-traits-none')).toEqual({ 'self-tests': 'not there', sanitize: 'not there' });
  const metrics = found.readings.map(({ metric }) => metric);
  for (const metric of further) expect(metrics).not.toContain(metric);
  expect(metrics).not.toContain('records-disagree');
  expect(metrics).not.toContain('temperature-average');
  expect(metrics).not.toContain('write-commands');
  expect(reading(found, 'workload-used')).toMatchObject({
    value: 65_535,
    text: '65 535 % or more',
  });
});

test('an identity that waits for the drive to be started is said to be incomplete', () => {
  const capture = captureOf('ata-traits');
  const pages = capture.pages.map((page) =>
    // Word 0 = 0044h: bit 2 (ACS, from memory).
    page.record === 'identify-device'
      ? { ...page, data: page.data.map((byte, at) => (at === 0 ? 0x44 : byte)) }
      : page,
  );
  expect(reading(interpret({ ...capture, pages }), 'drive-setting', 'identity').text).toBe(
    'not complete before the drive is started',
  );
  expect(settings('ata-traits')).not.toHaveProperty('identity');
});

test.each([
  [0x4080, 0x4080, 'on'],
  [0x4080, 0x4000, 'off'],
  [0x4000, 0x4080, undefined], // not there
  [0x4080, 0x0080, undefined], // word 120 is not marked as filled in
  [0xffff, 0xffff, undefined],
])('words 119 and 120 of %i and %i: steps of rest %s', (able, set, words) => {
  const capture = captureOf('ata-traits');
  const pages = capture.pages.map((page) => {
    if (page.record !== 'identify-device') return page;
    const data = page.data.slice();
    data.set([able & 0xff, able >> 8, set & 0xff, set >> 8], 238);
    return { ...page, data };
  });
  const found = interpret({ ...capture, pages }).readings;
  const steps = found.find(({ place }) => place === 'steps of rest');
  expect(steps?.text).toBe(words);
});

test('texts of which not one agrees are a page that we do not understand', () => {
  const capture = captureOf('ata-traits');
  const pages = capture.pages.map((page) =>
    page.log === 0x30 && page.page === 5
      ? { ...page, data: page.data.map((byte, at) => (at >= 8 && at < 96 ? 0x41 : byte)) }
      : page,
  );
  const { readings } = interpret({ ...capture, pages });
  expect(readings.filter(({ metric }) => metric === 'records-disagree')).toEqual([]);
});

describe('a way that lets only the old commands through', () => {
  const options = { taken: '2026-01-01T00:00:00.000Z', rare: false, skipIfAsleep: true };

  function halfBlind(oldToo: boolean) {
    const clock = makeSimClock(Date.parse(options.taken));
    const identity = { model: 'Larkspur LV4000', serial: 'LK-1', capacityBytes: 4e12 };
    const { box, asked } = oneDriveBox(makeSimDrive({ kind: 'sata-disk', ...identity, clock }));
    const real = box.ata;
    const isOld = (feature: number) => feature === 0xd5;
    box.ata = (address, command) => {
      const refused = command.command === 0x2f || (!oldToo && isOld(command.feature));
      if (!refused) return real(address, command);
      asked.push(command.name);
      return Promise.resolve(missing('refused', `The bridge does not pass ${command.name}`));
    };
    return { box, asked };
  }

  test('the directory and the statistics are read by them', async () => {
    const { box, asked } = halfBlind(true);
    const { capture } = await collectPages(box, addressFor('ata'), options);
    const directory = capture.pages.filter(({ record, log }) => record === 'log' && log === 0);
    expect(directory.map(({ data, failed }) => [data.length, failed])).toEqual([[512, undefined]]);
    expect(asked.filter((name) => name.startsWith('READ LOG EXT'))).toHaveLength(1);
    expect(figure(interpret(capture), 'power-on-hours')).toBeTypeOf('number');
    expect(capture.pages.some((page) => page.log === 4 && page.page === 5)).toBe(true);
  });

  test('when they fail too, the first reason stands, and neither is asked again', async () => {
    const { box, asked } = halfBlind(false);
    const refusals = new Map<string, string>();
    const first = await collectPages(box, addressFor('ata'), { ...options, refusals });
    const failed = first.capture.pages.find(({ record, log }) => record === 'log' && log === 0);
    expect(failed?.failed?.reason).toContain('READ LOG EXT');
    const before = asked.filter((name) => name.includes('LOG')).length;
    await collectPages(box, addressFor('ata'), { ...options, refusals });
    expect(asked.filter((name) => name.includes('LOG'))).toHaveLength(before);
  });
});
