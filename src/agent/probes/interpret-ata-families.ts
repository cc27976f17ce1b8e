import { hourUnits } from '../../checks/hours-unit.js';
import { metricInfo } from '../../checks/metrics.js';
import { measured, type Reading } from '../../checks/reading.js';
import { temperature } from './ata-attribute-figures.js';
import { statisticCandidate } from './ata-counter-rules.js';
import type { AtaRecords } from './ata-records.js';
import {
  attributeHours,
  highestTemperature,
  hoursCount,
  linkDownshifts,
  packedRate,
  timedWear,
  type Witness,
} from './attribute-families.js';
import { type Candidate, onlyFigure } from './choose-figure.js';
import { type Told, thenTold, told } from './told.js';

/** The model, and the age by Device Statistics and by self-tests: what attributes are held to. */
export function witnessOf(records: AtaRecords): Witness {
  const hours = records.statistic('power-on hours');
  const stamps = [records.extendedSelfTests, records.selfTests].flatMap((log) =>
    log.told ? log.value.map((test) => test.hours) : [],
  );
  return {
    model: records.identify.told ? records.identify.value.model : '',
    hours: hours.told ? hours.value : null,
    ...(stamps.length === 0 ? {} : { hoursMin: Math.max(...stamps) }),
    ...(records.learnedUnit === undefined ? {} : { learnedUnit: records.learnedUnit }),
  };
}

export function rateReadings(records: AtaRecords): readonly Reading[] {
  const witness = witnessOf(records);
  const rate = (id: number) =>
    thenTold(records.attribute(id), (attribute) => packedRate(attribute, witness));
  const errors = (id: number) => thenTold(rate(id), (value) => told(value.errors));
  const seeks = thenTold(rate(7), (value) => told(value.operations));
  return [
    onlyFigure('read-errors', 'attribute 1, top 16 bits', errors(1)),
    onlyFigure('seek-errors', 'attribute 7, top 16 bits', errors(7)),
    onlyFigure('seeks', 'attribute 7, low 32 bits', seeks),
  ];
}

export function highestByWords(records: AtaRecords): Candidate {
  const witness = witnessOf(records);
  return {
    source: 'attribute 194, third word',
    told: thenTold(records.attribute(194), (found) => highestTemperature(found, witness)),
  };
}

/** Figures that few families keep: told only where they are, or where the drive has the number. */
export function familyReadings(records: AtaRecords): readonly Reading[] {
  const witness = witnessOf(records);
  const wanted = [
    ['link-downshifts', 183, linkDownshifts],
    ['wear-in-window', 226, timedWear],
  ] as const;
  return wanted.flatMap(([metric, id, read]) => {
    const attribute = records.attribute(id);
    if (!attribute.told) return [];
    return onlyFigure(metric, `attribute ${id}, raw value`, read(attribute.value, witness));
  });
}

interface Pair {
  readonly place: string;
  readonly attribute: Told<number>;
  readonly standard: Candidate;
  readonly apartMax: (standard: number) => number;
  readonly id: number;
}

/** 2 and 1 percent, and 5 °C: engineering rules of our own for rounding and saving. */
const countsApart = (standard: number) => 2 + standard / 100;
const celsiusApart = () => 5;

/** Where a maker's attribute and the standard's record tell the same thing: 1 when they differ. */
export function agreementReadings(records: AtaRecords): readonly Reading[] {
  const witness = witnessOf(records);
  const hours = thenTold(records.attribute(9), (attribute) => attributeHours(attribute, witness));
  const count = (id: number) => thenTold(records.attribute(id), ({ raw }) => told(raw));
  const pairs: readonly Pair[] = [
    {
      place: 'power-on hours',
      id: 9,
      attribute: thenTold(hours, (found) => told(found.hours)),
      standard: statisticCandidate(records, 'power-on hours'),
      apartMax: countsApart,
    },
    {
      place: 'power cycles',
      id: 12,
      attribute: count(12),
      standard: statisticCandidate(records, 'power-on resets'),
      apartMax: countsApart,
    },
    {
      place: 'interface CRC errors',
      id: 199,
      attribute: count(199),
      standard: statisticCandidate(records, 'interface CRC errors'),
      apartMax: countsApart,
    },
    {
      place: 'temperature',
      id: 194,
      attribute: thenTold(records.attribute(194), temperature),
      standard: statisticCandidate(records, 'current temperature'),
      apartMax: celsiusApart,
    },
  ];
  return [...pairs.flatMap(agreement), ...unitAgreement(records)];
}

/** What was learned by watching, against the record that wins over it: 1 when they differ. */
function unitAgreement(records: AtaRecords): readonly Reading[] {
  const [attribute, standard] = [records.attribute(9), records.statistic('power-on hours')];
  const known = hourUnits.find(({ unit }) => unit === records.learnedUnit);
  if (known === undefined || !attribute.told || !standard.told) return [];
  const count = hoursCount(attribute.value, witnessOf(records));
  const hours = Math.floor((count * known.seconds) / 3600);
  const differ = Math.abs(hours - standard.value) > countsApart(standard.value);
  const metric = 'records-disagree';
  const figure = {
    metric,
    place: 'unit of attribute 9, learned by watching',
    unit: metricInfo(metric).unit,
    source: 'attribute 9 in the unit learned, against Device Statistics',
  };
  const text = `${count} ${known.unit} are ${hours} h, Device Statistics say ${standard.value} h`;
  return [measured(figure, differ ? 1 : 0, text)];
}

function agreement({ place, id, attribute, standard, apartMax }: Pair): readonly Reading[] {
  if (!attribute.told || !standard.told.told) return [];
  const value = standard.told.value;
  const differ = Math.abs(attribute.value - value) > apartMax(value);
  const text = `attribute ${id} says ${attribute.value}, ${standard.source} ${value}`;
  const metric = 'records-disagree';
  const { unit } = metricInfo(metric);
  const source = `attribute ${id} against ${standard.source}`;
  return [measured({ metric, place, unit, source }, differ ? 1 : 0, text)];
}
