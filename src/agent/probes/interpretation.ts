import type { DriveIdentity, HourCounter } from '../../checks/capture.js';
import type { Reading } from '../../checks/reading.js';

/** Everything that the raw records of one drive tell, in figures and plain words. */
export interface Interpretation {
  readonly identity: DriveIdentity;
  readonly readings: readonly Reading[];
  readonly hourCounters: readonly HourCounter[];
  readonly remarks: readonly string[];
}

export const unknownIdentity: DriveIdentity = {
  model: null,
  serial: null,
  firmware: null,
  worldWideName: null,
  capacityBytes: null,
  logicalBlockBytes: null,
  physicalBlockBytes: null,
  rotationRpm: null,
};

/** An empty string in a record tells nothing. */
export function textOrNull(text: string): string | null {
  return text === '' ? null : text;
}
