import type { ReadingState } from '../../checks/reading.js';

export type AbsentState = Exclude<ReadingState, 'measured'>;

/** What a record told about one thing: the value, or why there is none. */
export type Told<T> =
  | { readonly told: true; readonly value: T }
  | { readonly told: false; readonly state: AbsentState; readonly why: string };

export function told<T>(value: T): Told<T> {
  return { told: true, value };
}

export function untold<T>(why: string, state: AbsentState = 'no-figure'): Told<T> {
  return { told: false, state, why };
}

/** Goes on with a told value; a reason is handed through. */
export function thenTold<T, U>(from: Told<T>, next: (value: T) => Told<U>): Told<U> {
  return from.told ? next(from.value) : from;
}

/** A null in a decoded page means that the record holds no figure there. */
export function notNull<T>(value: T | null, why: string): Told<T> {
  return value === null ? untold(why) : told(value);
}
