import type { Finding, Urgency } from '../checks/finding.js';

const rank: Readonly<Record<Urgency, number>> = { today: 0, soon: 1, 'for-the-record': 2 };

/** Most urgent first; among equals those not yet seen, then the newest. */
export function byUrgency(findings: readonly Finding[]): readonly Finding[] {
  return [...findings].sort(
    (a, b) =>
      rank[a.urgency] - rank[b.urgency] ||
      Number(a.acknowledged) - Number(b.acknowledged) ||
      b.openedBoot - a.openedBoot ||
      b.openedMonoMs - a.openedMonoMs,
  );
}
