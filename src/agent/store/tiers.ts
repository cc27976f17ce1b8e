/** How finely the history of a gauge is kept, and how finely it is told. Pure. */

const dayMs = 24 * 3600_000;

/** Lengths of powered-on time within one boot that one rollup row covers. */
export const hourBucketMs = 3600_000;
export const dayBucketMs = dayMs;

/** Each figure of a gauge is kept this long, then only its hour, then only its day. */
export const rawKeptMs = 30 * dayMs;
export const hoursKeptMs = 2 * 365 * dayMs;

export type Tier = 'raw' | 'hours' | 'days';

/**
 * How finely a stretch of history is told, so that a line on a page has at most a few thousand
 * figures: up to 8 days each figure, up to 190 days the hours, beyond that the days (our choice).
 */
export function tierFor(rangeMs: number): Tier {
  if (rangeMs <= 8 * dayMs) {
    return 'raw';
  }
  return rangeMs <= 190 * dayMs ? 'hours' : 'days';
}
