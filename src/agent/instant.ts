import type { Clock } from './clock.js';
import type { Instant } from './store/rows.js';

/** Now, as the store wants it: number of this boot, time since it, and the calendar beside them. */
export function instantNow(clock: Clock, boot: number): Instant {
  return { boot, monoMs: clock.bootMs(), wallMs: clock.wallMs() };
}
