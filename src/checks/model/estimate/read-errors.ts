/**
 * Chance of at least one unreadable sector while `bytes` are read, when a drive's data sheet allows
 * one in `bitsPerError` bits: 1 - (1 - 1/b)^(8 bytes). 8 TB at 1 in 1e15: 6.2 %; 12 TB at 1e14:
 * 61.7 %. The data sheet's figure is an upper limit, so this is a bound and no forecast.
 */
export function unreadableSectorProbability(bytes: number, bitsPerError: number): number {
  return -Math.expm1(8 * bytes * Math.log1p(-1 / bitsPerError));
}
