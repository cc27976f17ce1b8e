import type { Check, CheckInput, EventLook } from '../check.js';
import type { EventKind } from '../event.js';
import type { CheckResult, Urgency } from '../finding.js';
import { compareMoments } from '../history.js';
import { baselineOf, isLater } from './growth-baseline.js';

const code = 'board-reports-fault';
const countsForMs = 30 * 86_400_000;
const rowsMax = 5;
/** What was logged before it was first seen here is the past owner's; its first look takes this. */
const firstLookMs = 10 * 60_000;

/** Kinds of faults, each a finding of its own. */
const kinds: readonly (readonly [EventKind, Urgency])[] = [
  ['memory-error', 'soon'],
  ['fan-fault', 'soon'],
  ['board-too-warm', 'soon'],
  ['voltage-out-of-range', 'soon'],
  ['supply-fault', 'soon'],
  ['processor-error', 'soon'],
];

/**
 * Claim: the board's controller logged no fault since it was first seen here. One finding for each
 * kind of fault: memory, fan, warmth, voltage, supply, processor. Counts for 30 days; clears when
 * a person accounts for it, or when the newest entry is older than that. Silent without entries.
 * Entries from before the first look are the past owner's.
 */
export const boardReports: Check = {
  code,
  claim: 'The board’s controller logged no fault since it was first seen here',
  judge: (input) =>
    input.kind === 'management-controller'
      ? kinds.flatMap(([kind, urgency]) => judgeKind(input, kind, urgency))
      : [],
};

function judgeKind(input: CheckInput, kind: EventKind, urgency: Urgency): readonly CheckResult[] {
  const { subject, findings } = input;
  const found = counted(input, kind);
  const isOpen = findings.some(
    (one) => one.code === code && one.place === kind && one.state === 'open',
  );
  if (found.length === 0 && !isOpen) return [];
  return [
    {
      code,
      subject,
      place: kind,
      outcome: found.length > 0 ? 'short' : 'met',
      urgency,
      measured: found.length,
      expected: 0,
      unit: 'count',
      source: 'the controller’s own log since it was first seen here, or last accounted for',
      evidence: found
        .slice(0, rowsMax)
        .map(({ text, boot, monoMs }) => ({ label: text, value: 1, unit: 'count', boot, monoMs })),
    },
  ];
}

function counted(input: CheckInput, kind: EventKind): readonly EventLook[] {
  const { events, findings, now, firstWallMs } = input;
  const ofKind = findings.filter(({ place }) => place === kind);
  const baseline = baselineOf({ ...input, findings: ofKind }, code);
  return events
    .filter((event) => event.kind === kind && event.wallMs > firstWallMs + firstLookMs)
    .filter(({ wallMs }) => now.wallMs - wallMs <= countsForMs)
    .filter((event) => baseline === null || isLater(event, baseline))
    .toSorted((one, other) => compareMoments(other, one));
}
