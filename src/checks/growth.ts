import { metricInfo } from './metrics.js';
import type { SeenFigure } from './seen-figure.js';
import { formatValue } from './units.js';

export interface Growth {
  /** "3 more", "2 fewer", "no change". */
  readonly amount: string;
  /** "since 12 March 2026". */
  readonly since: string;
  /** "first seen at 8"; null where nothing changed. */
  readonly first: string | null;
}

/**
 * How a counter or a figure of damage grew since it was first seen, in words. Null for other
 * figures and where nothing was measured. `dayOf` words a moment in milliseconds of the calendar
 * as a day. Pure; never throws.
 */
export function growthOf(
  reading: Omit<SeenFigure, 'beforeSleep'>,
  dayOf: (wallMs: number) => string,
): Growth | null {
  const { metric, unit, value, firstValue, firstWallMs } = reading;
  const { kind, damage } = metricInfo(metric);
  if ((kind !== 'counter' && !damage) || value === null) return null;
  if (firstValue === null || firstWallMs === null) return null;
  const since = `since ${dayOf(firstWallMs)}`;
  const grown = value - firstValue;
  if (grown === 0) return { amount: 'no change', since, first: null };
  const amount = `${formatValue(Math.abs(grown), unit)} ${grown > 0 ? 'more' : 'fewer'}`;
  return { amount, since, first: `first seen at ${formatValue(firstValue, unit)}` };
}

/** The same in one clause: "3 more since 12 March 2026, first seen at 8". Pure; never throws. */
export function growthWords({ amount, since, first }: Growth): string {
  return first === null ? `${amount} ${since}` : `${amount} ${since}, ${first}`;
}
