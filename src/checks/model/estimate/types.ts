import type { LayoutFacts } from './array-shape.js';

/**
 * One part on a path and the user data that it lets through, in bytes per second: the working
 * figure, and the range that the part's own packets and class leave. Stages of one path compare.
 */
export interface Stage {
  /** The model's id; a drive's is its serial, a port's PART.PORT, a client's link client:NAME. */
  readonly part: string;
  readonly bytesPerSecond: number;
  readonly low: number;
  readonly high: number;
  readonly why: string;
  readonly source: string;
}

export const directions = ['read', 'write'] as const;
export type Direction = (typeof directions)[number];

export const streamCounts = ['one', 'many'] as const;
export type Streams = (typeof streamCounts)[number];

/** A path of data with its parts in the order in which reading passes them. */
export interface PathEstimate {
  /** `drive:SERIAL`, `group:PART`, `array:NAME`, `client:NAME/ARRAY` or `client:NAME/memory`. */
  readonly path: string;
  readonly direction: Direction;
  readonly streams: Streams;
  /** Serials of the drives whose data passes here; empty for small copies from memory. */
  readonly drives: readonly string[];
  readonly stages: readonly Stage[];
  /** The smallest stage; null when the model tells of none. */
  readonly limit: { readonly part: string; readonly bytesPerSecond: number } | null;
  /** Bytes per second gained if the limiting part were out of the way; null with one part. */
  readonly headroom: number | null;
}

/** What can be said of one drive before anything was measured; rates in bytes per second. */
export interface DriveEstimate {
  readonly serial: string;
  readonly outer: Interval;
  /** Mean over the whole surface, and the speed at its inner edge. */
  readonly mean: Interval;
  readonly inner: Interval;
  readonly rotating: boolean;
  readonly source: string;
}

export interface Interval {
  readonly expected: number;
  readonly low: number;
  readonly high: number;
}

export interface ArrayEstimate extends LayoutFacts {
  readonly name: string;
  readonly members: readonly string[];
  /** One stream, by the narrowest stage; null when a member's speed is not known. */
  readonly readBytesPerSecond: number | null;
  readonly writeBytesPerSecond: number | null;
  readonly rebuild: RebuildEstimate | null;
  readonly rebuildHours: number | null;
  /** Chance of at least one unreadable sector while all survivors are read once: a bound. */
  readonly unreadableSectorProbability: number | null;
  readonly risk: RiskWords;
  /** Members larger than the smallest leave this many bytes unused, all together. */
  readonly unusedBytes: number;
  readonly otherLayouts: readonly OtherLayout[];
}

export interface RebuildEstimate {
  /** Hours without and with users at work; `low` to `high` is the span of rates. */
  readonly hours: Interval;
  readonly hoursWithUsers: { readonly low: number; readonly high: number };
  readonly bytesPerSecond: number;
  readonly limit: { readonly part: string; readonly why: string };
  readonly source: string;
}

/** How likely a further failure during the rebuild is, in ordinal words, and what drives it. */
export interface RiskWords {
  readonly level: 'small' | 'raised' | 'serious' | 'total';
  readonly why: readonly string[];
  /** What the array is good enough for, in a sentence without a full stop. */
  readonly adequacy: string;
}

export interface OtherLayout extends LayoutFacts {
  readonly rebuildHours: number | null;
}

export interface LeadEstimate {
  readonly lead: string;
  readonly connector: 'sata' | 'four-pin';
  readonly drives: readonly string[];
  /** Amperes on the 12 V wires while all its drives start, and what the plug carries. */
  readonly startAmperes: Interval;
  readonly ratedAmperes: number;
  /** How many of its drives may start at the same moment. */
  readonly mayStartTogether: number;
  readonly source: string;
}

export interface PowerEstimate {
  readonly leads: readonly LeadEstimate[];
  /** Watts of the drives alone: all starting at once, at work, idle. */
  readonly drivesStartWatts: Interval;
  readonly drivesWorkWatts: Interval;
  readonly drivesIdleWatts: Interval;
  readonly supplyWatts: number | null;
  /** Energy of the drives and money, a year, at the hours a day that the model tells. */
  readonly kilowattHoursPerYear: Interval | null;
  readonly costPerYear: Interval | null;
  readonly source: string;
}

export interface CostEstimate {
  readonly currency: string | null;
  readonly sum: number;
  /** Parts without a price, which the sum leaves out. */
  readonly withoutPrice: readonly string[];
  readonly perUsableTerabyte: number | null;
  readonly limit: number | null;
  readonly leftOfBudget: number | null;
}

/** Something that the person should know before buying or building; never a guess. */
export interface Warning {
  readonly code: WarningCode;
  readonly subject: string;
  readonly text: string;
}

export type WarningCode =
  | 'slot-limits-card'
  | 'card-limits-slot'
  | 'shared-stage'
  | 'members-unequal'
  | 'spare-too-small'
  | 'no-protection'
  | 'lead-overloaded'
  | 'moulded-lead'
  | 'chained-leads'
  | 'supply-close'
  | 'over-budget'
  | 'rebuild-long'
  | 'one-copy'
  | 'mains-and-leads';

export interface Estimate {
  readonly name: string | null;
  readonly drives: readonly DriveEstimate[];
  readonly paths: readonly PathEstimate[];
  readonly arrays: readonly ArrayEstimate[];
  readonly power: PowerEstimate;
  readonly cost: CostEstimate;
  /** Each thing that the model does not tell and that was taken for granted, in a sentence. */
  readonly assumed: readonly string[];
  readonly warnings: readonly Warning[];
}
