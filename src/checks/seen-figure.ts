import type { Reading } from './reading.js';

/** A reading as it is kept: with the first figure of the same record and when that was. */
export interface SeenFigure {
  readonly metric: string;
  /** Empty where the metric has one place only. */
  readonly place: string;
  readonly value: number | null;
  readonly unit: Reading['unit'];
  readonly state: Reading['state'];
  /** Words of a code, or the reason of an absence; empty when neither. */
  readonly text: string;
  readonly firstValue: number | null;
  readonly firstWallMs: number | null;
}

/**
 * The newest figure of a metric at its main place, or null when it was not told. Pure.
 */
export function mainFigure<T extends SeenFigure>(latest: readonly T[], metric: string): T | null {
  const found = latest.find((one) => one.metric === metric && one.place === '');
  return found !== undefined && found.value !== null ? found : null;
}
