/** Stages of a burn-in, in the order in which they run. */
export const burnInStages = [
  'readings-before',
  'full-read',
  'stamped-write',
  'verify',
  'readings-after',
] as const;

export type BurnInStage = (typeof burnInStages)[number];

/** Kinds of error that a burn-in tells apart at a place. */
export const placeErrorKinds = [
  'unreadable',
  'damaged',
  'misplaced',
  'stale',
  'other-drive',
  'wrapped',
  'unwritable',
  'aborted',
  'timed-out',
] as const;

export type PlaceErrorKind = (typeof placeErrorKinds)[number];

export interface PlaceError {
  /** Logical block address in the drive's own block size. */
  readonly lba: number;
  readonly kind: PlaceErrorKind;
}

export type BurnInState = 'planned' | 'running' | 'paused' | 'stopped' | 'interrupted' | 'finished';

/** One step of progress, as journalled and as shown. Bytes count from the drive's start. */
export interface BurnInEvent {
  readonly run: number;
  readonly drive: string;
  readonly stage: BurnInStage;
  readonly fromByte: number;
  readonly toByte: number;
  readonly bytesPerSecond: number | null;
  readonly errors: readonly PlaceError[];
  readonly state: BurnInState;
}

/** On pages: keep · keep, check again · return (or replace) · not fully tested. */
export type Advice = 'keep' | 'keep-check-again' | 'return' | 'replace' | 'not-fully-tested';

export interface VerdictReason {
  readonly code: string;
  readonly measured: number | null;
  readonly expected: number | null;
  readonly source: string;
}

export interface BurnInVerdict {
  readonly advice: Advice;
  readonly reasons: readonly VerdictReason[];
  readonly proven: readonly string[];
  readonly notProven: readonly string[];
  readonly skipped: readonly string[];
}
