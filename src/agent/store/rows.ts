import type { BurnInState, BurnInVerdict } from '../../checks/burn-in-result.js';
import type { CommandSet, RawPage } from '../../checks/capture.js';
import type { BoxEvent } from '../../checks/event.js';
import type { PartKind } from '../../checks/part.js';
import type { ReadingState, Unit } from '../../checks/reading.js';
import type { FigureBeforeSleep } from '../../checks/seen-figure.js';
import type { SpeedResult } from '../../checks/speed-result.js';

/** A moment: order is `boot`, then `monoMs` (milliseconds since that boot); wall time may step. */
export interface Instant {
  readonly boot: number;
  readonly monoMs: number;
  readonly wallMs: number;
}

export interface BootRow {
  readonly id: number;
  readonly bootId: string;
  readonly startedWall: number;
  readonly wallTrusted: boolean;
  /** Newest moment of this boot that anything was stored for. */
  readonly lastMonoMs: number;
  readonly lastWallMs: number;
}

/** A part with its lasting identity. `name` is its serial (drives) or its id in the model file. */
export interface PartRow {
  readonly id: number;
  readonly kind: PartKind;
  readonly identityKey: string;
  readonly name: string;
  readonly label: string;
  /** The newest PartSeen of it, as JSON text decoded. */
  readonly details: Readonly<Record<string, unknown>>;
  readonly firstBoot: number;
  readonly firstWallMs: number;
  readonly lastSeen: Instant;
  /** The look at the box that did not find it any more; absent while it is there. */
  readonly gone?: Instant;
}

/** Events of one look, by the parts' identities; null where no part is meant. */
export interface EventsToKeep {
  readonly events: readonly {
    readonly identityKey: string | null;
    readonly event: BoxEvent;
    /** Its key tells it apart over all boots: it may be found again in a later one. */
    readonly onceEver?: boolean;
  }[];
  /** Number of the newest record of the kernel's log that was looked at, or null. */
  readonly logReadTo: number | null;
  /** How far the log of the board's controller was read for these events. */
  readonly controllerLog?: { readonly identityKey: string; readonly mark: ControllerLogMark };
}

/** How far the log of a board's controller was read. */
export interface ControllerLogMark {
  /** Newest entry that was kept, and its bytes; null when the log held none. */
  readonly entryId: number | null;
  readonly record: string;
  /** Seconds by the controller's clock; null where it tells none. */
  readonly lastAddition: number | null;
  readonly lastErase: number | null;
  /** Entries when it was read to its end; -1 when some were left for the next look. */
  readonly entries: number;
}

export interface EventRow extends Omit<BoxEvent, 'key' | 'monoMs'> {
  readonly id: number;
  readonly partId: number | null;
  readonly at: Instant;
}

export interface PartToKeep {
  readonly kind: PartKind;
  readonly identityKey: string;
  readonly name: string;
  readonly label: string;
  readonly details: Readonly<Record<string, unknown>>;
}

export interface SeriesRow {
  readonly id: number;
  readonly partId: number;
  readonly metric: string;
  /** Empty when the metric has one place only. */
  readonly place: string;
  readonly unit: Unit;
  readonly source: string;
}

/**
 * A stored figure. Counters and states are stored when they change: the row holds from its own
 * instant to `lastMonoMs` of the same boot. Gauges are stored each time, later as hourly or daily
 * figures with `low` and `high`.
 */
export interface ReadingRow {
  readonly seriesId: number;
  readonly boot: number;
  readonly monoMs: number;
  readonly wallMs: number;
  readonly lastMonoMs: number;
  readonly lastWallMs: number;
  readonly state: ReadingState;
  readonly value: number | null;
  readonly low: number | null;
  readonly high: number | null;
  /** Words of a code, or the reason of an absence; empty when neither. */
  readonly text: string;
}

export interface LatestReading extends ReadingRow {
  /** Only of a reading whose state is asleep, where it was ever measured. */
  readonly beforeSleep?: FigureBeforeSleep;
  readonly metric: string;
  readonly place: string;
  readonly unit: Unit;
  readonly source: string;
  /** First measured value since the part was first seen, for counters. */
  readonly firstValue: number | null;
  readonly firstWallMs: number | null;
}

export interface SpeedRow extends SpeedResult {
  readonly id: number;
  readonly partId: number;
  readonly at: Instant;
}

export interface BurnInRow {
  readonly run: number;
  readonly partId: number;
  readonly drive: string;
  readonly erases: boolean;
  readonly state: BurnInState;
  readonly started: Instant;
  readonly updated: Instant;
  /** Seed of the pattern, 32 hexadecimal digits, made by chance at the start of the run. */
  readonly seed: string;
  readonly plan: Readonly<Record<string, unknown>>;
  readonly verdict: BurnInVerdict | null;
}

/** Journal entries of a burn-in, in the order of their `entry` numbers. */
export interface JournalRow {
  readonly entry: number;
  readonly run: number;
  readonly kind: 'intent' | 'progress' | 'result' | 'event';
  readonly at: Instant;
  readonly body: Readonly<Record<string, unknown>>;
}

export interface JobRow {
  readonly job: string;
  readonly lastBoot: number;
  readonly lastMonoMs: number;
  readonly lastWallMs: number;
  /** Powered-on milliseconds of the box, summed over boots, when it last ran. */
  readonly lastPoweredMs: number;
  readonly outcome: string;
}

export interface RawPageRow {
  readonly sha256: string;
  readonly partId: number;
  readonly at: Instant;
  readonly reason: string;
  readonly record: string;
  readonly place: string;
  readonly data: Uint8Array;
  /** Why the drive gave no bytes; absent when it gave them. */
  readonly failed?: string;
}

/** The newest bytes of one record of a drive. */
export interface NewestPage {
  readonly page: RawPage;
  readonly commandSet: CommandSet;
  readonly at: Instant;
  readonly sha256: string;
}
