/** Time spent in one thousandth of a drive's surface; `place` is 0 to 999. */
export interface PlaceTime {
  readonly place: number;
  readonly bytes: number;
  readonly seconds: number;
}

/** Bytes and seconds spent in each thousandth of a drive's surface during one pass. */
export type SurfaceTimes = Readonly<
  Record<number, { readonly bytes: number; readonly seconds: number }>
>;

export const noTimes: SurfaceTimes = {};

/**
 * Adds bytes and seconds of further places; an absent list adds nothing. Places may come again
 * and in any order. Never throws.
 */
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

/**
 * Rates along the surface in bytes per second, by rising place, for the curve. A place without
 * time has no rate and is left out. Never throws.
 */
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

/**
 * How many thousandths were slower than a quarter of the middle rate of their 16 neighbours in
 * both passes, and took a second or more (common practice, no source). Never throws.
 */
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
