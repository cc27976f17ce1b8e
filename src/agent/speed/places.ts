/** Number of places that a drive is measured at. */
export const placesCount = 16;

const mebibyte = 1024 * 1024;
const windowBytesMax = 256 * mebibyte;

export interface PlacePlan {
  /** Byte positions in rising order. */
  readonly places: readonly number[];
  /** Most bytes read from each place on. */
  readonly bytesPerPlace: number;
}

/**
 * Where a drive of this size is measured: 16 places from its first to its last stretch, equally
 * far apart, on whole mebibytes. They depend on the size alone and so stay the same for ever,
 * which is what lets results of different years be compared. A small drive gets shorter
 * stretches; one too small for 16 stretches of 64 KiB gets no places.
 */
export function speedPlaces(sizeBytes: number): PlacePlan {
  const unit = sizeBytes >= placesCount * mebibyte ? mebibyte : 4096;
  const share = Math.floor(sizeBytes / placesCount / unit) * unit;
  const bytesPerPlace = Math.min(windowBytesMax, share);
  if (!Number.isSafeInteger(sizeBytes) || bytesPerPlace < 65_536) {
    return { places: [], bytesPerPlace: 0 };
  }
  const last = sizeBytes - bytesPerPlace;
  const places = Array.from(
    { length: placesCount },
    (_, index) => Math.floor((last * index) / (placesCount - 1) / unit) * unit,
  );
  return { places, bytesPerPlace };
}
