import { metricInfo } from '../../checks/metrics.js';
import { measured, type Reading } from '../../checks/reading.js';
import type { SctStatus } from '../box/layouts/ata-sct.js';
import {
  decodePassedLimits,
  type StatisticName,
  statisticFields,
} from '../box/layouts/ata-statistics.js';
import { statisticCandidate } from './ata-counter-rules.js';
import type { AtaRecords } from './ata-records.js';
import type { Candidate } from './choose-figure.js';
import type { PageAnswers } from './page-answers.js';
import { notNull, thenTold } from './told.js';

type Row = readonly [metric: string, place: string, statistic: StatisticName];

/** Figures that many drives do not keep, so that a missing one is not spoken of. */
const rows: readonly Row[] = [
  ['read-commands', '', 'read commands'],
  ['write-commands', '', 'write commands'],
  ['free-falls', '', 'free-fall events'],
  ['shocks', '', 'over-limit shock events'],
  ['read-recoveries', '', 'read recovery attempts'],
  ['start-failures', '', 'mechanical start failures'],
  ['surface-states-changed', '', 'physical element status changed'],
  ['temperature-average', 'short term', 'average short term temperature'],
  ['temperature-average', 'long term', 'average long term temperature'],
  ['temperature-average', 'short term, highest', 'highest average short term temperature'],
  ['temperature-average', 'short term, lowest', 'lowest average short term temperature'],
  ['temperature-average', 'long term, highest', 'highest average long term temperature'],
  ['temperature-average', 'long term, lowest', 'lowest average long term temperature'],
  ['time-under-temperature', '', 'minutes under temperature'],
  ['temperature-limit', 'lowest allowed', 'specified minimum operating temperature'],
  ['hardware-resets', '', 'hardware resets'],
  ['signal-recoveries', '', 'signal recoveries'],
];

export function statisticReadings(pages: PageAnswers, records: AtaRecords): readonly Reading[] {
  return [
    ...rows.flatMap((row) => onlyWhereTold(row, statisticCandidate(records, row[2]))),
    ...workload(records),
    ...lowest(records),
    ...sctSamples(records),
    ...passedLimits(pages),
  ];
}

function onlyWhereTold([metric, place]: Row, { source, told }: Candidate): readonly Reading[] {
  return told.told ? [figure({ metric, source, place }, told.value)] : [];
}

interface About {
  readonly metric: string;
  readonly source: string;
  readonly place?: string;
}

function figure({ metric, source, place = '' }: About, value: number, text?: string): Reading {
  const { unit } = metricInfo(metric);
  return measured({ metric, unit, source, ...(place === '' ? {} : { place }) }, value, text);
}

/** All ones are a figure that does not fit its field. */
const fullWorkload = 65_535;

function workload(records: AtaRecords): readonly Reading[] {
  const { source, told } = statisticCandidate(records, 'workload utilization');
  if (!told.told) return [];
  const text = told.value === fullWorkload ? '65 535 % or more' : undefined;
  return [figure({ metric: 'workload-used', source }, told.value, text)];
}

function lowest(records: AtaRecords): readonly Reading[] {
  const sct = thenTold(records.sct, ({ lowestEver }) => notNull(lowestEver, 'Not measured (80h)'));
  const first = [
    statisticCandidate(records, 'lowest temperature'),
    { source: 'SCT status, lowest ever', told: sct },
  ].find(({ told }) => told.told);
  if (first === undefined || !first.told.told) return [];
  return [figure({ metric: 'temperature-lowest', source: first.source }, first.told.value)];
}

/** Counted in samples of the drive's own; one that measures no warmth now took none. */
function sctSamples({ sct }: AtaRecords): readonly Reading[] {
  if (!sct.told || sct.value.temperature === null) return [];
  const count = (place: string, field: keyof SctStatus & `${string}Count`) =>
    figure({ metric: 'samples-past-limit', place, source: 'SCT status' }, sct.value[field]);
  return [count('too warm', 'overLimitCount'), count('too cold', 'underLimitCount')];
}

/** Pages that were asked for; silent where no limit was passed, since few drives watch any. */
function passedLimits(pages: PageAnswers): readonly Reading[] {
  const numbers = [...new Set(Object.values(statisticFields).map(([page]) => page))];
  const passed = numbers.flatMap((page) => {
    const name = { record: 'log', log: 0x04, page } as const;
    if (!pages.answered(name)) return [];
    const found = pages.read(name, (data) => decodePassedLimits(data, page));
    return found.told ? found.value : [];
  });
  if (passed.length === 0) return [];
  const about = { metric: 'limits-passed', source: 'Device Statistics, flags' };
  return [figure(about, passed.length, passed.join(', '))];
}
