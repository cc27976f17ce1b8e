import { expect, test } from 'vitest';
import { hourReadings } from '../../../src/agent/probes/hour-readings.js';
import { interpret } from '../../../src/agent/probes/interpret.js';
import type { HourUnit } from '../../../src/checks/hours-unit.js';
import { captureOf, interpreted } from './capture-of.js';

test('every record of age that tells hours becomes a reading at its own place', () => {
  const readings = hourReadings(interpreted('cleared-attribute'));
  // By hand from tests/captures/cleared-attribute.hex, as in the tests of the decoder.
  expect(readings.map(({ metric, place, value, unit }) => [metric, place, value, unit])).toEqual([
    ['hour-counter', 'Power-on hours, attribute', 12, 'hours'],
    ['hour-counter', 'Power-on hours, statistics', 21_870, 'hours'],
    ['hour-counter', 'Spindle hours', 21_824, 'hours'],
    ['hour-counter', 'Head flying hours', 21_760, 'hours'],
    ['hour-counter', 'Newest entry of self-test log 06h', 3, 'hours'],
    ['hour-counter', 'Highest stamp of self-test log 06h', 21_840, 'hours'],
    ['hour-counter', 'Newest entry of error log 01h', 21_850, 'hours'],
  ]);
});

test('a drive that slept tells no hours, and nothing is stored over the last ones', () => {
  expect(hourReadings(interpreted('standby'))).toEqual([]);
});

/** What the drive's records tell when its counter 9 was watched before, by metric and place. */
function withLearned(name: string, hoursUnit: HourUnit, leaveOut: readonly number[] = []) {
  const capture = captureOf(name);
  const pages = capture.pages.filter(({ log }) => log === undefined || !leaveOut.includes(log));
  const { readings } = interpret({ ...capture, pages }, { hoursUnit });
  return (metric: string, place?: string) => {
    const found = readings.find((one) => one.metric === metric && one.place === place);
    return found === undefined ? undefined : [found.state, found.value, found.text];
  };
}

test('the bare count is told, to be watched, only where no statistics tell the hours', () => {
  // Attribute 9 of this capture is 12, Device Statistics say 21 870 h.
  expect(withLearned('cleared-attribute', 'hours')('hours-count')).toBeUndefined();
  const without = withLearned('cleared-attribute', 'minutes', [4]);
  expect(without('hours-count')).toEqual(['measured', 12, undefined]);
  // 12 minutes are no whole hour.
  expect(without('power-on-hours')).toEqual(['measured', 0, undefined]);
  expect(withLearned('standby', 'hours')('hours-count')?.[0]).toBe('asleep');
});

test('the standard’s record wins over what was learned, and that they differ is a reading', () => {
  const found = withLearned('cleared-attribute', 'half hours');
  expect(found('power-on-hours')?.[1]).toBe(21_870);
  expect(found('records-disagree', 'unit of attribute 9, learned by watching')).toEqual([
    'measured',
    1,
    '12 half hours are 6 h, Device Statistics say 21870 h',
  ]);
});

/** A self-test log with one entry at the given stamp, and Device Statistics with the given age. */
function newestStamp(options: { stamp: number; age: number }): number | null | undefined {
  const capture = captureOf('healthy-disk');
  const pages = capture.pages
    .filter(({ record, log }) => record !== 'smart-data' && log !== 7)
    .map((page) => {
      const data = Buffer.from(page.data);
      if (page.log === 6) {
        data.fill(0);
        data[0] = 1;
        data[2] = 1;
        data.writeUInt16LE(options.stamp, 4);
        data[508] = 1;
        data[511] = (256 - (data.reduce((sum, byte) => sum + byte, 0) % 256)) % 256;
      }
      if (page.log === 4 && page.page === 1) data.writeUInt32LE(options.age, 16);
      return { ...page, data };
    });
  const found = interpret({ ...capture, pages });
  return found.hourCounters.find(({ name }) => name.startsWith('Newest'))?.hours;
}

test.each([
  // 564 + 65 536 = 66 100: the latest hour that an age of 66 100 allows.
  { stamp: 564, age: 66_100, hours: 66_100 },
  // A young drive: the stamp stands as it is, also where it is far above the age.
  { stamp: 564, age: 300, hours: 564 },
  // 65 000 + 65 536 would be twice the age.
  { stamp: 65_000, age: 66_000, hours: 65_000 },
  // 140 000: 100 + 2 * 65 536 = 131 172.
  { stamp: 100, age: 140_000, hours: 131_172 },
])('stamp $stamp at an age of $age h is $hours h', ({ stamp, age, hours }) => {
  expect(newestStamp({ stamp, age })).toBe(hours);
});
