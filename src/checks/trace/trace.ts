/** How much had been copied at a moment: seconds and bytes since the copy began. */
export interface TracePoint {
  readonly seconds: number;
  readonly bytes: number;
}

/**
 * Bytes per second in steps of equal length, the copied bytes spread evenly between two points.
 * `points` ascend in both; fewer than two of them, or a step that is not above 0, give nothing. A
 * rest shorter than a step at the end is left out.
 */
export function evenRates(points: readonly TracePoint[], stepSeconds: number): readonly number[] {
  const [first, last] = [points[0], points.at(-1)];
  if (first === undefined || last === undefined || !(stepSeconds > 0)) return [];
  const steps = Math.floor((last.seconds - first.seconds) / stepSeconds + 1e-9);
  const rates: number[] = [];
  let behind = first.bytes;
  let at = 0;
  for (let step = 1; step <= steps; step += 1) {
    const moment = first.seconds + step * stepSeconds;
    while (at < points.length - 2 && (points[at + 1]?.seconds ?? 0) < moment) at += 1;
    const bytes = bytesAt(points[at] ?? first, points[at + 1] ?? last, moment);
    rates.push((bytes - behind) / stepSeconds);
    behind = bytes;
  }
  return rates;
}

function bytesAt(before: TracePoint, after: TracePoint, moment: number): number {
  const span = after.seconds - before.seconds;
  const share = span > 0 ? Math.min(1, Math.max(0, (moment - before.seconds) / span)) : 1;
  return before.bytes + share * (after.bytes - before.bytes);
}
