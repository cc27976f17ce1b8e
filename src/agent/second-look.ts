import type { Reading } from '../checks/reading.js';
import type { LatestReading } from './store/rows.js';

/**
 * Figures that hold still on a sound drive. When one of them moved, the next round is not left to
 * the usual pace: a finding opens only after the same answer twice, and should not wait for hours.
 */
const stillOnSoundDrives: ReadonlySet<string> = new Set([
  'drive-verdict',
  'critical-warning',
  'self-test-result',
  'reallocated-sectors',
  'pending-sectors',
  'uncorrectable-sectors',
  'uncorrectable-errors-reported',
  'media-and-data-errors',
  'interface-crc-errors',
  'emergency-head-parks',
  'commands-overdue',
]);

/** Whether a figure that should hold still differs from what was stored last. Pure. */
export function isWorthSecondLook(
  before: readonly LatestReading[],
  readings: readonly Reading[],
): boolean {
  return readings.some(
    ({ metric, place = '', value }) =>
      stillOnSoundDrives.has(metric) &&
      value !== null &&
      before.some(
        (one) =>
          one.metric === metric && one.place === place && one.value !== null && one.value !== value,
      ),
  );
}
