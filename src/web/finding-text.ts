import type { Finding, Urgency } from '../checks/finding.js';
import { metricInfo } from '../checks/metrics.js';

export function findingText(finding: Finding): { headline: string; detail: string } {
  return { headline: `${metricInfo(finding.code).label}`, detail: finding.place };
}

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
