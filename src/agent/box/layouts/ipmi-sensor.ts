import { bit, pageReader } from './bytes.js';
import type { SensorLimits } from './ipmi-sensor-list.js';

/** What a sensor told. */
export interface SensorAnswer {
  readonly raw: number;
  /** False while the controller does not look at the sensor. */
  readonly scanned: boolean;
  /** False right after a start, or while the thing that is measured is switched off. */
  readonly valid: boolean;
  /**
   * Bits of states that hold. A sensor with limits tells by them which ones it passed: 0 to 2
   * lower, 3 to 5 upper, each time the mildest first.
   */
  readonly states: number;
}

/** Answer to Get Sensor Reading; the bytes of states may be left out (IPMI 2.0, from memory). */
export function decodeSensorAnswer(data: Uint8Array): SensorAnswer {
  const page = pageReader('Reading of a sensor', data);
  const flags = page.u8(1);
  const low = page.length > 2 ? page.u8(2) : 0;
  const high = page.length > 3 ? page.u8(3) & 0x7f : 0;
  return {
    raw: page.u8(0),
    scanned: bit(flags, 6),
    valid: !bit(flags, 5),
    states: low + high * 256,
  };
}

/** Answer to Get Sensor Thresholds: a mask, then lower and upper limits, mildest first. */
export function decodeSensorLimits(data: Uint8Array): SensorLimits {
  const page = pageReader('Limits of a sensor', data);
  const mask = page.u8(0);
  const limit = (index: number) => (bit(mask, index) ? page.u8(index + 1) : null);
  return {
    lower: limit(0),
    lowerCritical: limit(1),
    upper: limit(3),
    upperCritical: limit(4),
  };
}
