import type { SpeedRow } from '../agent/store/rows.js';
import { runsOf } from './speeds.js';

/** Other work during more than this share of the time makes a measurement no baseline. */
const otherLoadMax = 0.1;

/**
 * Speed of each drive at its outer edge as it was first measured, by serial, in bytes per second:
 * the first place of the first complete reading run that nothing else disturbed. Drives without
 * such a run are left out. Pure.
 */
export function firstMeasured(rows: readonly SpeedRow[]): ReadonlyMap<string, number> {
  const reads = rows.filter(
    ({ path, direction }) => path.startsWith('drive:') && direction === 'read',
  );
  const serials = [...new Set(reads.map(({ path }) => path.slice('drive:'.length)))];
  return new Map(
    serials.flatMap((serial): [string, number][] => {
      const own = runsOf(reads.filter(({ path }) => path === `drive:${serial}`));
      const whole = own.findLast(({ rows: places }) => places.every(undisturbed));
      const outer = whole?.rows.find(({ place }) => place === 0)?.bytesPerSecond ?? null;
      return outer === null ? [] : [[serial, outer]];
    }),
  );
}

function undisturbed({ complete, conditions, place }: SpeedRow): boolean {
  return complete && place !== undefined && (conditions.otherLoad ?? 1) <= otherLoadMax;
}
