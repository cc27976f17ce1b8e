/** Powered-on time of the box, summed over its boots. Pure. */

export interface BootLength {
  readonly id: number;
  readonly lastMonoMs: number;
}

/**
 * Milliseconds for which the box was on, up to `bootMs` of boot `boot`. An earlier boot counts up
 * to the last moment that anything was stored for, so that the sum is never too long.
 */
export function poweredMs(boots: readonly BootLength[], now: { boot: number; bootMs: number }) {
  return boots
    .filter(({ id }) => id < now.boot)
    .reduce((sum, { lastMonoMs }) => sum + Math.max(0, lastMonoMs), Math.max(0, now.bootMs));
}
