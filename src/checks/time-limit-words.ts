import { formatDuration } from './units.js';

/** Limits in milliseconds; the drive's is 0 where it sets none, and null where it is not known. */
export interface TimeLimits {
  readonly kernelMs: number;
  readonly driveMs: number | null;
}

/**
 * What the kernel's patience with a drive and the drive's own limit mean together, in one clause.
 * A drive that may try longer than the kernel waits is reset while it tries and can fall out of an
 * array though it is not dead; without a limit, trying for two minutes and more has been seen.
 * Source: Linux raid wiki, page on timeout mismatch, from memory. Pure; never throws.
 */
export function timeLimitWords({ kernelMs, driveMs }: TimeLimits): string {
  const waits = `the kernel waits ${formatDuration(kernelMs / 1000)} for a command`;
  if (driveMs === null) {
    return `${waits}; whether the drive itself gives up on a bad place earlier is not known`;
  }
  if (driveMs <= 0) {
    return `${waits}; the drive sets itself no limit, so it may be reset while it still tries to read a bad place`;
  }
  const gives = `the drive gives up on a bad place after ${formatDuration(driveMs / 1000)}`;
  return driveMs < kernelMs
    ? `${waits}; ${gives}, before the kernel does`
    : `${waits}; ${gives}, which is not earlier, so it may be reset while it still tries`;
}
