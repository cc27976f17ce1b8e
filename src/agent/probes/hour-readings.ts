import { metricInfo } from '../../checks/metrics.js';
import { measured, type Reading } from '../../checks/reading.js';
import type { Interpretation } from './interpretation.js';

/**
 * Each record of age that told its hours, as a reading at the place of its name. A record that told
 * nothing this time is left out, so that what it told last stays the newest figure.
 */
export function hourReadings({ hourCounters }: Interpretation): readonly Reading[] {
  const metric = 'hour-counter';
  const { unit } = metricInfo(metric);
  return hourCounters.flatMap(({ name, hours, source }) =>
    hours === null ? [] : measured({ metric, place: name, unit, source }, hours),
  );
}
