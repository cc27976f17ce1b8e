import type { CheckInput } from '../check.js';
import type { Urgency } from '../finding.js';
import { newestNumber, seriesOf } from '../history.js';
import { type GrowthMetric, growthCheck } from './part-growth.js';

/** Without another copy an error of a member is lost data; with one it is a warning. */
function urgencyOf(_growth: unknown, input: CheckInput): Urgency {
  const series = seriesOf(input, 'array-may-still-fail').find(({ place }) => place === '');
  return newestNumber(series ?? null)?.value === 0 ? 'today' : 'soon';
}

function counter(metric: string): GrowthMetric {
  return { metric, urgency: urgencyOf, sinceBoot: false, freeGrowth: 0, risesMin: 1 };
}

/**
 * Claim: no member of the array had errors since it was first seen here. Expected: no growth of
 * what md counts as read errors put right (Linux Documentation/admin-guide/md.rst, errors of a
 * member), nor of what btrfs counts of each device (fs/btrfs/sysfs.c, error_stats). Silent for
 * arrays without such counters: the kernel tells of a ZFS pool its state alone.
 */
export const arrayMemberErrors = growthCheck({
  code: 'array-member-errors',
  claim: 'No member of the array had errors since it was first seen here',
  kinds: ['array'],
  metrics: [
    counter('array-member-errors'),
    counter('array-read-errors'),
    counter('array-write-errors'),
    counter('array-flush-errors'),
    counter('array-damaged-blocks'),
    counter('array-stale-blocks'),
    counter('array-member-bad-sectors'),
  ],
});
