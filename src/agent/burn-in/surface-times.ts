import type { PlaceTime } from '../workers/protocol-types.js';

/** Bytes and seconds spent in each thousandth of a drive's surface during one pass. */
export type SurfaceTimes = Readonly<
  Record<number, { readonly bytes: number; readonly seconds: number }>
>;

export const noTimes: SurfaceTimes = {};

export function withTimes(
  times: SurfaceTimes,
  more: readonly PlaceTime[] | undefined,
): SurfaceTimes {
  if (more === undefined || more.length === 0) return times;
  const sums: Record<number, { bytes: number; seconds: number }> = { ...times };
  for (const { place, bytes, seconds } of more) {
    const before = sums[place] ?? { bytes: 0, seconds: 0 };
    sums[place] = { bytes: before.bytes + bytes, seconds: before.seconds + seconds };
  }
  return sums;
}

/** Rates along the surface in rising order, for the curve; places without a figure are left out. */
export function surfaceCurve(
  times: SurfaceTimes,
): readonly { readonly place: number; readonly bytesPerSecond: number }[] {
  return Object.entries(times)
    .map(([place, { bytes, seconds }]) => ({
      place: Number(place),
      bytesPerSecond: seconds > 0 ? bytes / seconds : Number.NaN,
    }))
    .filter(({ bytesPerSecond }) => Number.isFinite(bytesPerSecond))
    .sort((one, other) => one.place - other.place);
}

const neighboursEachSide = 8;

/** A place this far below its neighbours is slow (common practice, no source). */
const slowShare = 0.25;

/** A place must have taken this long, or chance on a busy machine looks like a slow place. */
const secondsMin = 1;

/** How many thousandths were far slower than their neighbours in both passes. */
export function slowPlaces(first: SurfaceTimes, second: SurfaceTimes): number {
  const again = new Set(slowIn(second));
  return slowIn(first).filter((place) => again.has(place)).length;
}

function slowIn(times: SurfaceTimes): readonly number[] {
  const curve = surfaceCurve(times);
  return curve
    .filter(({ place, bytesPerSecond }, index) => {
      const near = curve
        .slice(Math.max(0, index - neighboursEachSide), index + neighboursEachSide + 1)
        .map((one) => one.bytesPerSecond)
        .sort((one, other) => one - other);
      const median = near[Math.floor(near.length / 2)] ?? 0;
      const seconds = times[place]?.seconds ?? 0;
      return (
        near.length > neighboursEachSide &&
        seconds >= secondsMin &&
        bytesPerSecond < median * slowShare
      );
    })
    .map(({ place }) => place);
}
