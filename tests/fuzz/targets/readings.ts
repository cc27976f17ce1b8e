import type { Reading } from '../../../src/checks/reading.js';
import { anyFigure, type Limits } from '../limits.js';

export const readingLimits: Limits = { value: anyFigure };

const most = 2 ** 53;
/** By unit: the least and the most that any record can tell. */
const bounds: Readonly<Record<Reading['unit'], readonly [number, number]>> = {
  hours: [0, most],
  minutes: [0, most],
  seconds: [0, most],
  'unix-seconds': [0, 2 ** 33],
  milliseconds: [0, most],
  celsius: [-273, 65_535],
  count: [0, most],
  sectors: [0, most],
  // Counts of units of 512 000 bytes that a double holds exactly.
  bytes: [0, most * 512_000],
  'bytes-per-second': [0, most * 1024],
  'bits-per-second': [0, most],
  lanes: [1, 32],
  'gigatransfers-per-second': [0, most],
  percent: [0, most],
  rpm: [0, 100_000],
  volts: [-most, most],
  milliamperes: [0, most],
  watts: [0, most],
  microwatts: [0, most],
  code: [0, most],
};

/** The readings; an error when one breaks the promise of its type or holds what no record tells. */
export function strictReadings(readings: readonly Reading[]): readonly Reading[] {
  for (const reading of readings) {
    const { metric, state, value, why, unit } = reading;
    const isMeasured = state === 'measured';
    if ((value === null) === isMeasured || (why === undefined) !== isMeasured) {
      throw new Error(`${metric}: state ${state} with value ${value} and reason ${why}`);
    }
    const [least, highest] = bounds[unit];
    if (value !== null && !(value >= least && value <= highest)) {
      throw new Error(`${metric} is ${value} ${unit}`);
    }
  }
  return readings;
}
