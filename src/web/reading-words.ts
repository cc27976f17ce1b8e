import type { LatestReading } from '../agent/store/rows.js';
import { metricInfo } from '../checks/metrics.js';
import { formatValue } from '../checks/units.js';

/** The figure of a reading: a number with its unit, the words of a code, or a dash for none. */
export function valueWords(reading: LatestReading): string {
  if (reading.value === null) return '–';
  const isState = reading.unit === 'code' || metricInfo(reading.metric).kind === 'state';
  if (isState && reading.text !== '') return reading.text;
  if (reading.unit === 'code') return `code ${reading.value}`;
  return formatValue(reading.value, reading.unit);
}
