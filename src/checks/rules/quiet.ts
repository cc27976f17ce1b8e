import type { CheckInput, Moment } from '../check.js';
import { compareMoments, newestNumber, numberLooks, seriesOf } from '../history.js';

/** Without growth for this long, in days and in hours of a powered drive, it has stopped. */
const quietMs = 30 * 86_400_000;
const quietPoweredHours = 200;

/**
 * True when so much time passed since a moment, by the calendar and by the drive's own hours, that
 * what happened then is over (our choice). False where the drive tells no hours.
 */
export function isQuietSince(input: CheckInput, moment: Moment): boolean {
  if (input.now.wallMs - moment.wallMs < quietMs) return false;
  const hours = seriesOf(input, 'power-on-hours')[0] ?? null;
  const now = newestNumber(hours);
  const then = numberLooks(hours?.looks ?? [])
    .filter((look) => compareMoments(look, moment) <= 0)
    .at(-1);
  return now !== null && then !== undefined && now.value - then.value >= quietPoweredHours;
}
