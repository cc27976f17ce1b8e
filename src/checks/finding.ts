import type { Unit } from './reading.js';

/** Result of one check, in code. On pages: as expected, below expected, cannot tell. */
export type Outcome = 'met' | 'short' | 'unknown';

/** How soon a person should act. On pages: today, soon, for the record. */
export type Urgency = 'today' | 'soon' | 'for-the-record';

export type FindingState = 'open' | 'cleared';

/** What ended a finding. */
export const clearedWhys = ['as-expected', 'accounted-for', 'told-elsewhere', 'taken-out'] as const;

export type ClearedWhy = (typeof clearedWhys)[number];

/** One row of evidence: what was read, when (boot number and milliseconds since that boot). */
export interface Evidence {
  readonly label: string;
  readonly value: number | null;
  readonly unit: Unit;
  readonly boot: number;
  readonly monoMs: number;
}

/**
 * What one check says about one subject (a part id) after one look. `outcome` is `met` only by a
 * comparison that was true on finite numbers. `cause` groups checks: one finding per cause.
 */
export interface CheckResult {
  readonly code: string;
  readonly subject: string;
  readonly outcome: Outcome;
  readonly urgency: Urgency;
  readonly measured: number | null;
  readonly expected: number | null;
  readonly unit: Unit;
  /** Where the expected value comes from. */
  readonly source: string;
  readonly evidence: readonly Evidence[];
  /** Why nothing can be told, when `outcome` is `unknown`. */
  readonly why?: string;
  /** Detail that tells apart findings of one code on one subject, such as a metric or a place. */
  readonly place?: string;
  /** The outcome has not held for as long as its check asks: it neither opens nor clears. */
  readonly provisional?: true;
  /** Part that this one shares with others, such as its controller, when a fault may be there. */
  readonly sharedPart?: string;
  /** Further such parts in the order to be compared, for those with nothing in common before. */
  readonly otherSharedParts?: readonly string[];
  /** It means nothing unless it is told about a part that several share. */
  readonly onlyTogether?: true;
  /** Ids of drives of which this result tells what is missing. */
  readonly tellsOf?: readonly string[];
}

/** A finding as it is kept: opened, held and cleared by `judge`. */
export interface Finding {
  readonly id: number;
  readonly code: string;
  readonly subject: string;
  readonly place: string;
  readonly state: FindingState;
  readonly urgency: Urgency;
  readonly measured: number | null;
  readonly expected: number | null;
  readonly unit: Unit;
  readonly source: string;
  readonly evidence: readonly Evidence[];
  readonly nextStep: string;
  readonly openedBoot: number;
  readonly openedMonoMs: number;
  readonly openedWallMs: number;
  readonly clearedBoot: number | null;
  readonly clearedWallMs: number | null;
  /** What ended it; null while it is open, and for those of versions that did not keep it. */
  readonly clearedWhy: ClearedWhy | null;
  /** A person has seen it. */
  readonly acknowledged: boolean;
  /** A person says that its cause is dealt with. */
  readonly accountedFor: boolean;
}

/** What `judge` wants kept: findings to open, to hold with new figures, to clear. */
export interface FindingChange {
  readonly kind: 'open' | 'hold' | 'clear';
  /** The id is absent on the ones to open: the store numbers them. */
  readonly finding: Omit<Finding, 'id'> & { readonly id?: number };
}
