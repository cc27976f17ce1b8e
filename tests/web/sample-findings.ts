// Invented findings of the sample box, in the shape in which they are kept.

import type { Instant } from '../../src/agent/store/rows.js';
import type { Finding, FindingChange } from '../../src/checks/finding.js';

type NewFinding = Omit<Finding, 'id'>;

const dayMs = 24 * 3600_000;

function finding(at: Instant, daysAgo: number, own: Partial<NewFinding>): NewFinding {
  return {
    code: 'too-warm',
    subject: '',
    place: '',
    state: 'open',
    urgency: 'soon',
    measured: null,
    expected: null,
    unit: 'count',
    source: 'the drive itself',
    evidence: [],
    nextStep: '',
    openedBoot: Math.max(1, at.boot - daysAgo),
    openedMonoMs: 4 * 60_000,
    openedWallMs: at.wallMs - daysAgo * dayMs,
    clearedBoot: null,
    clearedWallMs: null,
    clearedWhy: null,
    acknowledged: false,
    accountedFor: false,
    ...own,
  };
}

export function sampleFindings(at: Instant): readonly FindingChange[] {
  const open = [
    finding(at, 1, {
      code: 'surface-damage-grew',
      subject: 'LK7-3311C',
      place: 'surface',
      urgency: 'today',
      measured: 44,
      expected: 0,
      unit: 'sectors',
      source: 'growth since first seen; common practice, no source',
      nextStep: '',
      evidence: [
        {
          label: 'Reallocated sectors (5), first',
          value: 0,
          unit: 'sectors',
          boot: 1,
          monoMs: 60_000,
        },
        {
          label: 'Reallocated sectors (5), now',
          value: 44,
          unit: 'sectors',
          boot: at.boot,
          monoMs: 600_000,
        },
      ],
    }),
    finding(at, 4, {
      code: 'too-warm',
      subject: 'TV-88-0093',
      urgency: 'soon',
      measured: 56,
      expected: 55,
      unit: 'celsius',
      source: 'five below the limit that the drive gives',
      nextStep: '',
    }),
    finding(at, 40, {
      code: 'pci-link-narrow',
      subject: 'network-card-03-00-0',
      urgency: 'for-the-record',
      measured: 4,
      expected: 8,
      unit: 'lanes',
      source: 'what the card and the slot both can do',
      nextStep: '',
      acknowledged: true,
    }),
  ];
  const later = finding(at, 22, {
    code: 'drive-slow',
    subject: 'LK7-3310A',
    measured: 121_000_000,
    expected: 150_000_000,
    unit: 'bytes-per-second',
    source: 'own baseline of this drive',
    nextStep: '',
  });
  return [...open, later].map((one) => ({ kind: 'open', finding: one }));
}
