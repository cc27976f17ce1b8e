import type { EventKind } from './event.js';
import type { Urgency } from './finding.js';
import type { IdentityDoubt } from './identity-doubt.js';
import type { MachineSeen, PartKind } from './part.js';
import type { ReadingState, Unit } from './reading.js';
import type { RunningWork } from './request.js';

/** One figure of a part with its state, age and source, for programs. */
export interface StatusFigure {
  readonly metric: string;
  readonly place: string;
  readonly value: number | null;
  readonly unit: Unit;
  readonly state: ReadingState;
  readonly source: string;
  /** Words of a code, or the reason of an absence; empty when neither. */
  readonly text: string;
  /** Milliseconds since it was last seen so; null when the calendar does not allow to tell. */
  readonly ageMs: number | null;
  /** First measured value from the same record and when that was; null when there is none. */
  readonly firstValue: number | null;
  readonly firstWallMs: number | null;
  /** Of a figure that sleep hides: what it was when it was last read. */
  readonly beforeSleep?: {
    readonly value: number;
    readonly text: string;
    readonly ageMs: number | null;
  };
}

/**
 * One part, once. `sentences` are whole and end with a full stop; `absences` say what is not known.
 */
export interface StatusPart {
  readonly kind: PartKind;
  readonly id: string;
  /** How the part is called on pages: the bay and the last four of the serial. */
  readonly name: string;
  readonly label: string;
  /** It was there at the newest look at the box. */
  readonly present: boolean;
  /** Of a part that is not there: since when, null when the calendar does not tell, and where. */
  readonly gone?: { readonly ageMs: number | null; readonly lastPlace: string | null };
  /** Of a drive that has no name of its own: why, and what to do. */
  readonly identityDoubt?: IdentityDoubt;
  readonly sentences: readonly string[];
  readonly absences: readonly string[];
  readonly figures: readonly StatusFigure[];
  /** Independent records of a drive's age, side by side: they should agree. */
  readonly hourCounters: readonly StatusHours[];
}

export interface StatusHours {
  readonly name: string;
  readonly hours: number | null;
  readonly source: string;
}

/** Parts of one kind; `emptyWhy` is the reason when there is none, else null. */
export interface StatusGroup {
  readonly kind: PartKind;
  readonly title: string;
  readonly parts: readonly StatusPart[];
  readonly emptyWhy: string | null;
}

export interface StatusFinding {
  readonly id: number;
  readonly code: string;
  readonly subject: string;
  readonly urgency: Urgency;
  readonly title: string;
  readonly sentence: string;
  readonly expectedSentence: string;
  readonly nextStep: string;
  readonly acknowledged: boolean;
  readonly openedWallMs: number;
}

/** Something that happened to a part; `part` is null where none is meant. */
export interface StatusEvent {
  readonly kind: EventKind;
  readonly part: string | null;
  readonly boot: number;
  /** Milliseconds since it happened; null when the calendar does not allow to tell. */
  readonly ageMs: number | null;
  readonly positionBytes: number | null;
  /** The line of the kernel's log, or the two states, that say so; empty for lost lines. */
  readonly record: string;
  readonly sentence: string;
}

/** What `status` says, as JSON and as the ground of its plain words. */
export interface StatusReport {
  readonly machine: MachineSeen | null;
  readonly agent: {
    readonly answers: boolean;
    readonly sentence: string;
    /** Newest moment that it stored anything for, when it does not answer. */
    readonly stoppedSinceWallMs: number | null;
  };
  readonly findings: readonly StatusFinding[];
  readonly running: readonly RunningWork[];
  readonly groups: readonly StatusGroup[];
  /** Groups of figures that are empty for the whole box, such as fans, each with its reason. */
  readonly emptyWhy: Readonly<Record<string, string>>;
  readonly limits: readonly string[];
  readonly remarks: readonly string[];
  /** What happened lately to parts, newest first. */
  readonly happened?: readonly StatusEvent[];
}
