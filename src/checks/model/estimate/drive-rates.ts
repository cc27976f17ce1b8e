import type { DriveClass } from '../classes.js';
import { driveSurface, type Surface } from '../drive-speed.js';
import type { ModelDrive } from '../schema.js';
import { scaledInterval } from './stages.js';
import type { DriveEstimate, Interval } from './types.js';

export interface DriveKnowledge {
  readonly classes: readonly DriveClass[];
  /** Speed at the outer edge that was measured first, by serial, bytes per second. */
  readonly measured: ReadonlyMap<string, number>;
}

export interface RatedDrive {
  /** Null with the reason among `assumed` when nothing is known of its speed. */
  readonly estimate: DriveEstimate | null;
  readonly assumed: readonly string[];
}

/** A data sheet's outer rate above this is no hard disk's (20 TB drives: 285 MB/s, from memory). */
const rotatingBytesPerSecondMax = 330e6;

/**
 * Speed of a drive at its outer edge, in the mean over its surface and at its inner edge. A first
 * measurement goes before the data sheet, the data sheet before the class. The mean of a surface
 * with constant linear density is v0 (1 + 1/q) / 2, q the ratio of outer to inner speed (own
 * derivation; q = 2: three quarters of the outer speed).
 */
export function rateDrive(drive: ModelDrive, knowledge: DriveKnowledge): RatedDrive {
  const named = knowledge.classes.find((one) => one.id === drive.class);
  const first = knowledge.measured.get(drive.serial);
  const outerRate = first ?? drive.outerRate;
  const { rotating, assumed } = rotatingOf(drive, named, outerRate);
  const surface = driveSurface(
    { class: drive.class, outerRate, capacityBytes: drive.capacity, rotating },
    knowledge.classes,
  );
  if ('unknown' in surface) {
    return { estimate: null, assumed: [`${drive.serial}: no speed is known. ${surface.unknown}`] };
  }
  const source = first === undefined ? surface.source : 'its own first measurement';
  const wide = outerRate === undefined && named === undefined;
  return {
    estimate: estimateOf(drive.serial, { surface: { ...surface, source }, outerRate, rotating }),
    assumed: [
      ...assumed,
      ...(wide ? [`${drive.serial}: neither class nor outer-rate is told; ${source}`] : []),
    ],
  };
}

interface Known {
  readonly surface: Surface;
  readonly outerRate: number | undefined;
  readonly rotating: boolean;
}

function estimateOf(serial: string, { surface, outerRate, rotating }: Known): DriveEstimate {
  const { outerLow, outerHigh, ratioLow, ratioHigh, source } = surface;
  const outer: Interval = {
    expected: outerRate ?? (outerLow + outerHigh) / 2,
    low: outerLow,
    high: outerHigh,
  };
  const ratio = (ratioLow + ratioHigh) / 2;
  return {
    serial,
    outer,
    mean: scaledInterval(outer, (1 + 1 / ratio) / 2),
    inner: scaledInterval(outer, 1 / ratio),
    rotating,
    source,
  };
}

function rotatingOf(
  drive: ModelDrive,
  named: DriveClass | undefined,
  outerRate: number | undefined,
): { readonly rotating: boolean; readonly assumed: readonly string[] } {
  if (named !== undefined) return { rotating: named.rotating, assumed: [] };
  if (drive.slot !== undefined) return { rotating: false, assumed: [] };
  const rotating = (outerRate ?? 0) <= rotatingBytesPerSecondMax;
  const kind = rotating ? 'a hard disk' : 'solid state';
  const told = 'a class in the model would tell';
  return { rotating, assumed: [`${drive.serial} is taken for ${kind}; ${told}`] };
}
