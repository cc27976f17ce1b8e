import type { Capture } from '../../checks/capture.js';
import type { FigureName } from '../../checks/figure-name.js';
import type { Reading } from '../../checks/reading.js';
import { hourReadings } from './hour-readings.js';
import { interpretAsGiven } from './interpret.js';

/** All figures that the records of a drive tell, the records of its age among them. */
export function figuresOf(capture: Capture): readonly Reading[] {
  const found = interpretAsGiven(capture);
  return [...found.readings, ...hourReadings(found)];
}

export function figureNamed(capture: Capture, name: FigureName): Reading | undefined {
  return figuresOf(capture).find(
    ({ metric, place = '' }) => metric === name.metric && place === name.place,
  );
}

/**
 * What a change of bytes did to a figure: `figure` another number or other words from the same
 * field, `deciding` that there is one at all, or from which record, `none` nothing.
 */
export type Effect = 'none' | 'figure' | 'deciding';

export function effectOf(before: Reading, after: Reading | undefined): Effect {
  if (after === undefined) return 'deciding';
  const isSame =
    before.value === after.value &&
    before.state === after.state &&
    before.source === after.source &&
    before.text === after.text &&
    before.why === after.why;
  if (isSame) return 'none';
  const bothMeasured = before.state === 'measured' && after.state === 'measured';
  return bothMeasured && before.source === after.source ? 'figure' : 'deciding';
}
