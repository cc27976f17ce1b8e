import type { EventKind } from './event.js';
import type { CheckResult, Finding } from './finding.js';
import type { ExpectedSpeed } from './model/drive-speed.js';
import type { PartKind } from './part.js';
import type { ReadingState, Unit } from './reading.js';
import type { SpeedResult } from './speed-result.js';
import type { StartKind } from './start-kind.js';

/** A moment: order is `boot`, then `monoMs`; wall time is attached and may step. */
export interface Moment {
  readonly boot: number;
  readonly monoMs: number;
  readonly wallMs: number;
}

/** One look at a figure. `lastMonoMs` is the last look, in the same boot, that saw the same. */
export interface Look extends Moment {
  readonly lastMonoMs?: number;
  readonly state: ReadingState;
  readonly value: number | null;
  /** Words of a code, or the reason of an absence. */
  readonly text?: string;
}

/** The history of one figure of one part, in order. `first` is its first number ever, if kept. */
export interface SeriesHistory {
  readonly metric: string;
  /** Empty when the metric has one place only. */
  readonly place: string;
  readonly unit: Unit;
  readonly source: string;
  readonly first?: (Moment & { readonly value: number }) | null;
  readonly looks: readonly Look[];
}

/** One measured place of a speed run and when it was measured. */
export interface SpeedLook extends SpeedResult {
  readonly at: Moment;
}

/** Something that happened to a part, with its moment. */
export interface EventLook extends Moment {
  readonly kind: EventKind;
  /** Where on a drive, in bytes from its start; null where it has no place. */
  readonly positionBytes: number | null;
  readonly text: string;
}

/** What is expected of a part beyond what its own readings say. */
export interface Expectations {
  /** Expected reading speed at a fraction of the capacity; null when there is no model to ask. */
  readonly speedAt: ((fraction: number) => ExpectedSpeed) | null;
  readonly capacityBytes: number | null;
}

/** Everything that checks may know about one part. */
export interface CheckInput {
  readonly subject: string;
  readonly kind: PartKind;
  /** Id of the controller that it shares with other drives, or null. */
  readonly controller: string | null;
  /** Id of the power lead that feeds it by the model, or null. */
  readonly powerLead: string | null;
  /** Id of the backplane that its bay belongs to by the model, or null. */
  readonly enclosure: string | null;
  /** The model names it. */
  readonly inModel: boolean;
  /** Since when a look at the box does not find it any more; null while it is there. */
  readonly gone: Moment | null;
  readonly lastSeen: Moment;
  /** When it was first seen here, by the calendar. */
  readonly firstWallMs: number;
  /** Names of the arrays that a drive is a member of by the newest look, or by the model. */
  readonly arrays: readonly string[];
  /** What is kept of the part beside its readings, as it was seen last. */
  readonly details: Readonly<Record<string, unknown>>;
  /** How a drive is called on pages, by its id: the bay and the last four of its serial. */
  readonly nameOf: (id: string) => string;
  /** What happened to it lately, newest first. */
  readonly events: readonly EventLook[];
  /** How boots of the box began, by their number, where the drives tell. */
  readonly startKinds: ReadonlyMap<number, StartKind>;
  readonly series: readonly SeriesHistory[];
  readonly speeds: readonly SpeedLook[];
  readonly expectations: Expectations;
  /** Findings so far, open and cleared, on this part and on its controller. */
  readonly findings: readonly Finding[];
  readonly now: Moment;
}

/** One check. `claim` is the sentence that is true of a part when the outcome is `met`. */
export interface Check {
  readonly code: string;
  readonly claim: string;
  /** Pure and total: whatever is missing or wrong in the input becomes `unknown` with a reason. */
  judge(input: CheckInput): readonly CheckResult[];
}
