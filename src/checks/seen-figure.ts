import { metricInfo } from './metrics.js';
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
  /** Of a figure that was not asked for because the drive sleeps: what it was before. */
  readonly beforeSleep?: FigureBeforeSleep;
}

export interface FigureBeforeSleep {
  readonly value: number;
  readonly text: string;
  /** When it was last seen so, in milliseconds of the calendar. */
  readonly lastWallMs: number;
}

/**
 * A figure as it stood when it was last read, for one that sleep hides: counters, records and
 * settings do not change while a drive sleeps. Warmth does, so gauges stay hidden. Pure.
 */
export function asLastRead<T extends SeenFigure>(figure: T): T {
  const { state, metric, beforeSleep } = figure;
  if (state !== 'asleep' || beforeSleep === undefined) return figure;
  if (metricInfo(metric).kind === 'gauge') return figure;
  return { ...figure, ...beforeSleep, state: 'measured' };
}

/**
 * The newest figure of a metric at its main place, or null when it was not told. Pure.
 */
export function mainFigure<T extends SeenFigure>(latest: readonly T[], metric: string): T | null {
  const found = latest.find((one) => one.metric === metric && one.place === '');
  return found !== undefined && found.value !== null ? found : null;
}
