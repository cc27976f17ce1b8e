import type { LatestReading } from './store/rows.js';

/** The newest measured figure of a metric, at any place of it; null when there is none. */
export function metricValue(latest: readonly LatestReading[], metric: string): number | null {
  const found = latest.find((row) => row.metric === metric && row.state === 'measured');
  return found?.value ?? null;
}
