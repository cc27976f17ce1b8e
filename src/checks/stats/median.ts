/** Median of finite numbers; NaN for none. The mean of the two middle ones for an even count. */
export function median(values: readonly number[]): number {
  const sorted = values.toSorted((one, other) => one - other);
  const half = sorted.length / 2;
  const upper = sorted[Math.floor(half)] ?? Number.NaN;
  const lower = sorted[Math.ceil(half) - 1] ?? Number.NaN;
  return (upper + lower) / 2;
}
