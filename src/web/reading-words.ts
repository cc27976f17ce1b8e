import type { LatestReading } from '../agent/store/rows.js';
import { metricInfo } from '../checks/metrics.js';
import { formatValue } from '../checks/units.js';
import { dayWords } from './moments.js';

/** The figure of a reading: a number with its unit, the words of a code, or a dash for none. */
export function valueWords(reading: LatestReading): string {
  if (reading.value === null) return '–';
  const isState = reading.unit === 'code' || metricInfo(reading.metric).kind === 'state';
  if (isState && reading.text !== '') return reading.text;
  if (reading.unit === 'code') return `code ${reading.value}`;
  return formatValue(reading.value, reading.unit);
}

export interface Growth {
  /** "3 more", "no change". */
  readonly amount: string;
  /** "since 12 March 2026, first seen at 8". */
  readonly since: string;
}

/** How a counter or a figure of damage grew since it was first seen; null for other figures. */
export function growthOf(reading: LatestReading): Growth | null {
  const { metric, unit, value, firstValue, firstWallMs } = reading;
  const { kind, damage } = metricInfo(metric);
  if ((kind !== 'counter' && !damage) || value === null) return null;
  if (firstValue === null || firstWallMs === null) return null;
  const since = `since ${dayWords(firstWallMs)}`;
  const grown = value - firstValue;
  if (grown === 0) return { amount: 'no change', since };
  const amount = `${formatValue(Math.abs(grown), unit)} ${grown > 0 ? 'more' : 'fewer'}`;
  return { amount, since: `${since}, first seen at ${formatValue(firstValue, unit)}` };
}
