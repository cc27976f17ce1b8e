import type { DriveIdentity, HourCounter } from '../../checks/capture.js';
import type { HourUnit } from '../../checks/hours-unit.js';
import type { Reading } from '../../checks/reading.js';
import { countOrNull } from '../box/layouts/bytes.js';

/** Everything that the raw records of one drive tell, in figures and plain words. */
export interface Interpretation {
  readonly identity: DriveIdentity;
  readonly readings: readonly Reading[];
  readonly hourCounters: readonly HourCounter[];
  readonly remarks: readonly string[];
}

/** What was learned of a drive over time, which no single capture tells. */
export interface Learned {
  readonly hoursUnit?: HourUnit;
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

/** No drive holds nothing, and none holds more bytes than can be counted exactly (9 PB). */
export function capacityOrNull(bytes: bigint): number | null {
  return bytes <= 0n ? null : countOrNull(bytes);
}
