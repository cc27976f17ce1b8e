import type { Reading } from '../../checks/reading.js';
import type { SmartAttribute } from '../box/layouts/ata-smart.js';
import { type StatisticName, statisticFields } from '../box/layouts/ata-statistics.js';
import { plainCount } from './ata-attribute-figures.js';
import type { AtaRecords } from './ata-records.js';
import { commandsOverdue, type Witness } from './attribute-families.js';
import { type Candidate, chooseFigure } from './choose-figure.js';
import { type Told, thenTold } from './told.js';

type Way =
  | { readonly statistic: StatisticName }
  | {
      readonly attribute: number;
      readonly read?: (attribute: SmartAttribute, witness: Witness) => Told<number>;
    };

/**
 * Where each counter is kept, best record first: the standard's own figure before the maker's
 * attribute. Commands overdue is the other way about: the standard's nearest figure counts resets
 * while a command was under way, which is not quite the same.
 */
const rules: Readonly<Record<string, readonly Way[]>> = {
  'reallocated-sectors': [{ statistic: 'reallocated logical sectors' }, { attribute: 5 }],
  'pending-sectors': [
    { statistic: 'reallocation candidate logical sectors' },
    { statistic: 'pending error count' },
    { attribute: 197 },
  ],
  'uncorrectable-sectors': [{ attribute: 198 }],
  'uncorrectable-errors-reported': [
    { statistic: 'reported uncorrectable errors' },
    { attribute: 187 },
  ],
  'commands-overdue': [
    { attribute: 188, read: commandsOverdue },
    { statistic: 'resets between command acceptance and completion' },
  ],
  'interface-crc-errors': [{ statistic: 'interface CRC errors' }, { attribute: 199 }],
  'head-loads': [{ statistic: 'head load events' }, { attribute: 193 }],
  'start-stops': [{ attribute: 4 }],
  'power-cycles': [{ statistic: 'power-on resets' }, { attribute: 12 }],
  'emergency-head-parks': [{ statistic: 'high-priority unload events' }, { attribute: 192 }],
};

export function counterReadings(records: AtaRecords): readonly Reading[] {
  return Object.entries(rules).map(([metric, ways]) =>
    chooseFigure(
      { metric },
      ways.map((way) => candidate(records, way)),
    ),
  );
}

function candidate(records: AtaRecords, way: Way): Candidate {
  if ('statistic' in way) return statisticCandidate(records, way.statistic);
  return {
    source: attributeSource(way.attribute),
    told: thenTold(records.attribute(way.attribute), (found) =>
      (way.read ?? plainCount)(found, { model: modelOf(records), hours: null }),
    ),
  };
}

function modelOf({ identify }: AtaRecords): string {
  return identify.told ? identify.value.model : '';
}

export function statisticCandidate(records: AtaRecords, name: StatisticName): Candidate {
  const [page] = statisticFields[name];
  return { source: `Device Statistics page ${page}, ${name}`, told: records.statistic(name) };
}

export function attributeSource(id: number): string {
  return `attribute ${id}, raw value`;
}
