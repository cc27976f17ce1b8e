import type { HourCounter } from '../../checks/capture.js';
import type { Reading } from '../../checks/reading.js';
import type { AtaSelfTest } from '../box/layouts/ata-self-test.js';
import type { StatisticName } from '../box/layouts/ata-statistics.js';
import { statisticCandidate } from './ata-counter-rules.js';
import type { AtaRecords } from './ata-records.js';
import {
  type AttributeHours,
  headFlyingHours,
  hoursCount,
  attributeHours as readHours,
} from './attribute-families.js';
import { type Candidate, onlyFigure } from './choose-figure.js';
import { witnessOf } from './interpret-ata-families.js';
import { type Told, thenTold, told } from './told.js';

const wraps = '16 bits, starts again after 65 535';

export function attributeHours(records: AtaRecords): Candidate {
  const witness = witnessOf(records);
  const found = thenTold(records.attribute(9), (attribute) => readHours(attribute, witness));
  const unit = found.told ? found.value.unit : 'hours';
  const how = found.told ? howTold(found.value) : null;
  return {
    source: how === null ? 'attribute 9, unit taken as hours' : `attribute 9, ${unit}, ${how}`,
    told: thenTold(found, ({ hours }) => told(hours)),
  };
}

function howTold({ agreed, learned }: AttributeHours): string | null {
  if (agreed) return 'as another record agrees';
  return learned === true ? 'learned by watching' : null;
}

/**
 * The bare count of attribute 9, to be watched until its unit is known. A drive whose statistics
 * tell its hours needs no watching, so there is none.
 */
export function hoursCountReadings(records: AtaRecords): readonly Reading[] {
  const attribute = records.attribute(9);
  if (records.statistic('power-on hours').told) return [];
  const count = thenTold(attribute, (found) => told(hoursCount(found, witnessOf(records))));
  // That it slept must be kept: time over a sleep is no watched time.
  if (!count.told && count.state !== 'asleep') return [];
  return [onlyFigure('hours-count', 'attribute 9, raw value', count)];
}

function flyingHours(records: AtaRecords): readonly HourCounter[] {
  const attribute = records.attribute(240);
  const hours = thenTold(attribute, (found) => headFlyingHours(found, witnessOf(records)));
  if (!hours.told) return [];
  return [counter('Head flying hours, attribute', hours, 'attribute 240, low 32 bits')];
}

/** Every record of the drive's age that does not depend on another one. */
export function hourCountersOfAta(records: AtaRecords): readonly HourCounter[] {
  const attribute = attributeHours(records);
  const age = hoursCandidates(records).find(({ told: from }) => from.told)?.told;
  return [
    counter('Power-on hours, attribute', attribute.told, attribute.source),
    ofStatistic(records, 'Power-on hours, statistics', 'power-on hours'),
    ofStatistic(records, 'Spindle hours', 'spindle motor power-on hours'),
    ofStatistic(records, 'Head flying hours', 'head flying hours'),
    ...flyingHours(records),
    ...ofStamps(testStamps(records.extendedSelfTests), age, 'extended self-test log 07h'),
    ...ofStamps(testStamps(records.selfTests), age, 'self-test log 06h'),
    ...ofStamps(errorStamps(records.extendedErrors), age, 'extended error log 03h'),
    ...ofStamps(errorStamps(records.errors), age, 'error log 01h'),
  ];
}

function counter(name: string, from: Told<number>, source: string): HourCounter {
  return { name, hours: from.told ? from.value : null, source };
}

function ofStatistic(records: AtaRecords, name: string, field: StatisticName): HourCounter {
  const { told: from, source } = statisticCandidate(records, field);
  return counter(name, from, source);
}

const turn = 65_536;

/**
 * A stamp of 16 bits on a drive older than one turn: the newest entry is taken as the latest hour
 * that the drive's own age allows. On a younger drive the stamp stands, also above the age.
 */
function unwrapped(stamp: number, age: number | null): number {
  if (age === null || age < turn) return stamp;
  return stamp + turn * Math.max(0, Math.floor((age + toleranceOf(age) - stamp) / turn));
}

/**
 * The newest stamp, and the highest where an older entry tells more hours than the newest. On a
 * drive older than one turn an older entry may lie in any turn, so nothing is said of it.
 */
function ofStamps(
  stamps: readonly number[],
  age: Told<number> | undefined,
  log: string,
): readonly HourCounter[] {
  const [newest] = stamps;
  if (newest === undefined) return [];
  const highest = Math.max(...stamps);
  const source = `${log}, ${wraps}`;
  const hours = unwrapped(newest, age?.told ? age.value : null);
  const latest = { name: `Newest entry of ${log}`, hours, source };
  if (highest === newest || hours !== newest) return [latest];
  return [latest, { name: `Highest stamp of ${log}`, hours: highest, source }];
}

function testStamps(log: Told<readonly AtaSelfTest[]>): readonly number[] {
  const finished = log.told ? log.value.filter((test) => test.code !== 15) : [];
  return finished.map((test) => test.hours);
}

function errorStamps(log: AtaRecords['errors']): readonly number[] {
  return log.told ? log.value.entries.map((entry) => entry.hours) : [];
}

/** 2 hours and 1 percent: an engineering rule of our own for rounding and saving. */
function toleranceOf(hours: number): number {
  return 2 + hours / 100;
}

export function hourRemarks(records: AtaRecords): readonly string[] {
  const attribute = attributeHours(records).told;
  const statistic = records.statistic('power-on hours');
  if (!attribute.told || !statistic.told) return [];
  const apart = Math.abs(attribute.value - statistic.value);
  if (apart <= toleranceOf(statistic.value)) return [];
  return [
    `Two hour counters disagree: attribute 9 says ${attribute.value} h, Device Statistics say ${statistic.value} h`,
  ];
}

export function hoursCandidates(records: AtaRecords): readonly Candidate[] {
  return [statisticCandidate(records, 'power-on hours'), attributeHours(records)];
}
