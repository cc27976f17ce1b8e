/** What a reading can be: a number was measured, or there is a reason why there is none. */
export const readingStates = ['measured', 'asleep', 'no-figure', 'not-visible', 'box-off'] as const;

export type ReadingState = (typeof readingStates)[number];

/**
 * Units that readings carry. `code` is a number whose meaning `text` spells out, `count` counts
 * events, `sectors` are logical sectors as the record defines them, `unix-seconds` is a moment by
 * the box's calendar, counted from 1970 in UTC.
 */
export type Unit =
  | 'hours'
  | 'minutes'
  | 'seconds'
  | 'milliseconds'
  | 'celsius'
  | 'count'
  | 'sectors'
  | 'bytes'
  | 'bytes-per-second'
  | 'bits-per-second'
  | 'lanes'
  | 'gigatransfers-per-second'
  | 'percent'
  | 'rpm'
  | 'volts'
  | 'milliamperes'
  | 'watts'
  | 'microwatts'
  | 'unix-seconds'
  | 'code';

/**
 * One figure about one part. `value` is a finite number exactly when `state` is `measured`.
 * `place` tells figures of one metric apart (a sensor, a port, a position in bytes).
 * `source` names the record and field, `why` the reason when there is no number,
 * `text` the meaning of a code in plain words.
 */
export interface Reading {
  readonly metric: string;
  readonly place?: string;
  readonly value: number | null;
  readonly state: ReadingState;
  readonly unit: Unit;
  readonly source: string;
  readonly why?: string;
  readonly text?: string;
}

export interface Figure {
  readonly metric: string;
  readonly unit: Unit;
  readonly source: string;
  readonly place?: string;
}

/** A measured reading. A value that is not finite becomes `no-figure`, never a number. */
export function measured(figure: Figure, value: number, text?: string): Reading {
  if (!Number.isFinite(value)) {
    return absent(figure, 'no-figure', `The record gave ${value}, which is not a number`);
  }
  return { ...figure, value, state: 'measured', ...(text === undefined ? {} : { text }) };
}

/** A reading without a number, with its state and the reason in one sentence. */
export function absent(
  figure: Figure,
  state: Exclude<ReadingState, 'measured'>,
  why: string,
): Reading {
  return { ...figure, value: null, state, why };
}
