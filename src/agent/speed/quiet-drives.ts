import type { Box } from '../box/box.js';
import type { Clock } from '../clock.js';
import { type KernelCounters, readCounters } from './kernel-counters.js';

export interface QuietTools {
  readonly box: Box;
  readonly clock: Clock;
  /** How long nothing may move. */
  readonly lookMs: number;
  readonly isCancelled?: () => boolean;
}

const looksMax = 10;
const pauseMs = 2000;

/** Counters of all drives in their order, or null when the kernel tells none of one of them. */
export async function countersOf(
  box: Box,
  devicePaths: readonly string[],
): Promise<readonly KernelCounters[] | null> {
  const all = await Promise.all(devicePaths.map((path) => readCounters(box, path)));
  const known = all.filter((one) => one !== null);
  return known.length === all.length ? known : null;
}

/**
 * Waits until nobody uses any of the drives for a moment; false when that moment never came. Drives
 * of which the kernel counts nothing are taken for quiet.
 */
export async function waitForQuiet(
  devicePaths: readonly string[],
  { box, clock, lookMs, isCancelled }: QuietTools,
): Promise<boolean> {
  for (let look = 0; look < looksMax && isCancelled?.() !== true; look += 1) {
    const before = await countersOf(box, devicePaths);
    await clock.sleep(lookMs);
    const after = await countersOf(box, devicePaths);
    if (before === null || after === null) return true;
    const isStill = after.every(
      ({ readBytes, writtenBytes }, at) =>
        readBytes === before[at]?.readBytes && writtenBytes === before[at]?.writtenBytes,
    );
    if (isStill) return true;
    await clock.sleep(pauseMs);
  }
  return false;
}
