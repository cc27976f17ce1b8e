import type { Ceiling } from './ceilings.js';
import type { DriveClass } from './classes.js';

/** What is known of a drive whose speed is to be expected. */
export interface DriveForSpeed {
  /** Class of the model file. */
  readonly class?: string | undefined;
  /** The drive's own data sheet, bytes per second at the outer edge. */
  readonly outerRate?: number | undefined;
  readonly capacityBytes: number | null;
  readonly rotating: boolean | null;
  /** Lowest ceiling on the way to it, with the part that sets it. */
  readonly limit?: { readonly part: string; readonly ceiling: Ceiling } | null;
}

/** An expected interval in bytes per second with its source. */
export interface SpeedExpectation {
  readonly low: number;
  readonly high: number;
  readonly source: string;
  /** The part that holds the drive below what it could do alone, or null. */
  readonly limitedBy: { readonly part: string; readonly why: string } | null;
}

export type ExpectedSpeed = SpeedExpectation | { readonly unknown: string };

/** Outer speed in bytes per second and ratio of outer to inner, as intervals. */
export interface Surface {
  readonly outerLow: number;
  readonly outerHigh: number;
  readonly ratioLow: number;
  readonly ratioHigh: number;
  readonly source: string;
}

/** A data sheet names the best case; most drives measure a little below (common practice). */
const dataSheetShare = { low: 0.9, high: 1.05 };

/** Outer to inner speed when only the outer rate is known: 1.8 to 2.2 (drive specifications). */
const usualRatio = { low: 1.8, high: 2.2 };

/**
 * Speed at a place of the surface as a share of the outer edge's, with constant linear density
 * and track pitch: sqrt(1 - f (1 - 1/q²)), f the place from 0 (outer) to 1 (inner), q the ratio of
 * outer to inner speed. Own derivation; q = 2 gives 0.901, 0.791, 0.661 at each quarter.
 */
export function zonedShare(fraction: number, ratio: number): number {
  return Math.sqrt(1 - fraction * (1 - 1 / (ratio * ratio)));
}

/**
 * Expected reading speed of a drive at a place, `fraction` of its capacity from 0 to 1: from its
 * own data sheet, else its class, else the classes that capacity and rotation allow (a wide
 * interval that says so), held down by the lowest link on its way. `unknown` with the reason when
 * nothing fits; nothing is thrown.
 */
export function expectedSpeedAt(
  { drive, classes }: { readonly drive: DriveForSpeed; readonly classes: readonly DriveClass[] },
  fraction: number,
): ExpectedSpeed {
  if (!Number.isFinite(fraction) || fraction < 0 || fraction > 1) {
    return { unknown: `The place ${fraction} is not on the drive` };
  }
  const surface = driveSurface(drive, classes);
  if ('unknown' in surface) return surface;
  const alone = {
    low: surface.outerLow * zonedShare(fraction, surface.ratioHigh),
    high: surface.outerHigh * zonedShare(fraction, surface.ratioLow),
  };
  return limited(alone, { source: surface.source, limit: drive.limit ?? null });
}

/**
 * What a drive's own data sheet, else its class, else its capacity and rotation say of its surface;
 * `unknown` with the reason when nothing fits. Throws nothing.
 */
export function driveSurface(
  drive: DriveForSpeed,
  classes: readonly DriveClass[],
): Surface | { readonly unknown: string } {
  const named = classes.find((one) => one.id === drive.class);
  if (drive.outerRate !== undefined) return dataSheet(drive, drive.outerRate, named);
  if (drive.class !== undefined) {
    return named === undefined
      ? { unknown: `There is no class "${drive.class}" in the list of part classes` }
      : { ...span([named]), source: `class ${named.id}: ${named.source}` };
  }
  return guessed(drive, classes);
}

function dataSheet(
  drive: DriveForSpeed,
  outerRate: number,
  named: DriveClass | undefined,
): Surface | { readonly unknown: string } {
  if (drive.rotating === null && named === undefined) {
    return { unknown: 'Whether the drive rotates is not known, so its inner speed is not either' };
  }
  const rotates = named?.rotating ?? drive.rotating === true;
  return {
    outerLow: outerRate * dataSheetShare.low,
    outerHigh: outerRate * dataSheetShare.high,
    ratioLow: named?.zoneRatioLow ?? (rotates ? usualRatio.low : 1),
    ratioHigh: named?.zoneRatioHigh ?? (rotates ? usualRatio.high : 1),
    source: 'outer-rate of the model file',
  };
}

function guessed(
  drive: DriveForSpeed,
  classes: readonly DriveClass[],
): Surface | { readonly unknown: string } {
  const { capacityBytes, rotating } = drive;
  if (rotating === null) return { unknown: 'The drive does not say whether it rotates' };
  if (capacityBytes === null) return { unknown: 'The capacity of the drive is not known' };
  const fits = classes.filter(
    (one) =>
      one.rotating === rotating &&
      capacityBytes >= one.capacityFrom * 0.98 &&
      capacityBytes <= one.capacityTo * 1.02,
  );
  if (fits.length === 0) {
    return { unknown: 'No class fits this capacity; name a class or an outer-rate in the model' };
  }
  const names = fits.map(({ id }) => id).join(', ');
  return {
    ...span(fits),
    source: `guessed from capacity and rotation, so a wide interval: ${names}`,
  };
}

function span(classes: readonly DriveClass[]): Omit<Surface, 'source'> {
  return {
    outerLow: Math.min(...classes.map((one) => one.outerLow)),
    outerHigh: Math.max(...classes.map((one) => one.outerHigh)),
    ratioLow: Math.min(...classes.map((one) => one.zoneRatioLow)),
    ratioHigh: Math.max(...classes.map((one) => one.zoneRatioHigh)),
  };
}

function limited(
  alone: { readonly low: number; readonly high: number },
  { source, limit }: { readonly source: string; readonly limit: DriveForSpeed['limit'] },
): SpeedExpectation {
  if (limit === null || limit === undefined) return { ...alone, source, limitedBy: null };
  const { ceiling, part } = limit;
  const low = Math.min(alone.low, ceiling.low);
  if (ceiling.high >= alone.high) return { low, high: alone.high, source, limitedBy: null };
  return {
    low,
    high: ceiling.high,
    source: `${source}; held down by ${part}, ${ceiling.why}`,
    limitedBy: { part, why: ceiling.why },
  };
}
