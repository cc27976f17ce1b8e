import type { HourCounter } from '../../checks/capture.js';
import type { AtaSelfTest } from '../box/layouts/ata-self-test.js';
import type { StatisticName } from '../box/layouts/ata-statistics.js';
import { hours } from './ata-attribute-figures.js';
import { statisticCandidate } from './ata-counter-rules.js';
import type { AtaRecords } from './ata-records.js';
import type { Candidate } from './choose-figure.js';
import { type Told, thenTold } from './told.js';

const wraps = '16 bits, starts again after 65 535';

export function attributeHours(records: AtaRecords): Candidate {
  const model = records.identify.told ? records.identify.value.model : '';
  return {
    source: 'attribute 9, unit taken as hours',
    told: thenTold(records.attribute(9), (attribute) => hours(attribute, model)),
  };
}

/** Every record of the drive's age that does not depend on another one. */
export function hourCountersOfAta(records: AtaRecords): readonly HourCounter[] {
  const attribute = attributeHours(records);
  return [
    counter('Power-on hours, attribute', attribute.told, attribute.source),
    ofStatistic(records, 'Power-on hours, statistics', 'power-on hours'),
    ofStatistic(records, 'Spindle hours', 'spindle motor power-on hours'),
    ofStatistic(records, 'Head flying hours', 'head flying hours'),
    ...ofSelfTests(records.extendedSelfTests, 'extended self-test log 07h'),
    ...ofSelfTests(records.selfTests, 'self-test log 06h'),
    ...ofErrors(records.extendedErrors, 'extended error log 03h'),
    ...ofErrors(records.errors, 'error log 01h'),
  ];
}

function counter(name: string, from: Told<number>, source: string): HourCounter {
  return { name, hours: from.told ? from.value : null, source };
}

function ofStatistic(records: AtaRecords, name: string, field: StatisticName): HourCounter {
  const { told: from, source } = statisticCandidate(records, field);
  return counter(name, from, source);
}

/** The newest stamp, and the highest where an older entry tells more hours than the newest. */
function ofStamps(stamps: readonly number[], log: string): readonly HourCounter[] {
  const [newest] = stamps;
  if (newest === undefined) return [];
  const highest = Math.max(...stamps);
  const source = `${log}, ${wraps}`;
  const latest = { name: `Newest entry of ${log}`, hours: newest, source };
  if (highest === newest) return [latest];
  return [latest, { name: `Highest stamp of ${log}`, hours: highest, source }];
}

function ofSelfTests(log: Told<readonly AtaSelfTest[]>, source: string): readonly HourCounter[] {
  const finished = log.told ? log.value.filter((test) => test.code !== 15) : [];
  const stamps = finished.map((test) => test.hours);
  return ofStamps(stamps, source);
}

function ofErrors(log: AtaRecords['errors'], source: string): readonly HourCounter[] {
  return log.told
    ? ofStamps(
        log.value.entries.map(({ hours: stamp }) => stamp),
        source,
      )
    : [];
}

/** Tolerance of 2 hours and 1 percent: an engineering rule of our own for rounding and saving. */
export function hourRemarks(records: AtaRecords): readonly string[] {
  const attribute = attributeHours(records).told;
  const statistic = records.statistic('power-on hours');
  if (!attribute.told || !statistic.told) return [];
  const apart = Math.abs(attribute.value - statistic.value);
  if (apart <= 2 + statistic.value / 100) return [];
  return [
    `Two hour counters disagree: attribute 9 says ${attribute.value} h, Device Statistics say ${statistic.value} h`,
  ];
}

export function hoursCandidates(records: AtaRecords): readonly Candidate[] {
  return [statisticCandidate(records, 'power-on hours'), attributeHours(records)];
}
