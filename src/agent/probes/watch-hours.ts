import {
  type CounterWatch,
  hoursUnit,
  isWatchSpoilt,
  unitOfSeconds,
} from '../../checks/hours-unit.js';
import { metricInfo } from '../../checks/metrics.js';
import { absent, measured, type Reading } from '../../checks/reading.js';
import type { Learned } from './interpretation.js';

/** A kept figure of the same drive: the newest of its series. */
export interface KeptOfDrive {
  readonly metric: string;
  readonly place: string;
  readonly value: number | null;
  readonly text: string;
  readonly boot: number;
  readonly lastMonoMs: number;
}

interface Look {
  readonly boot: number;
  readonly monoMs: number;
}

/** Three times as long as counters are read apart: after more, something was not as usual. */
const gapMaxMs = 12 * 3_600_000;

/** The bare count that is watched. */
export const watchedCount = 'hours-count';
const unit = 'hours-unit';
const seconds = 'hours-count-watched';
const growth = 'hours-count-growth';
const stretches = 'hours-count-stretches';

/**
 * What attribute 9 of a drive counts, learned from look to look; nothing where its bare count is
 * not among the readings. Time is taken from the clock that counts since boot. A stretch counts
 * only between two looks of one boot that both saw the counter: a look that found the drive asleep,
 * a longer gap, a new boot and a counter that was set back begin a new one. What was learned stays.
 * Pure.
 */
export function watchHours(
  readings: readonly Reading[],
  kept: readonly KeptOfDrive[],
  now: Look,
): readonly Reading[] {
  const seen = readings.find(({ metric }) => metric === watchedCount)?.value ?? null;
  if (seen === null) return [];
  const known = newest(kept, unit);
  if (known !== null && known.value !== null) return [unitReading(known.value, known.text)];
  const step = stepOf(seen, kept, now);
  const whole = watchOf(kept);
  const before = isWatchSpoilt(whole) ? nothingWatched : whole;
  const watch = step === null ? before : added(before, step);
  const answer = hoursUnit(watch);
  const learned =
    answer.unit === null
      ? absent(figure(unit), 'no-figure', answer.words)
      : unitReading(answer.seconds, answer.words);
  return step === null ? [learned] : [learned, ...watchReadings(watch)];
}

/** What the kept figures of a drive say was learned of it. */
export function learnedOf(kept: readonly KeptOfDrive[]): Learned {
  const hoursUnitKnown = unitOfSeconds(newest(kept, unit)?.value ?? null);
  return hoursUnitKnown === null ? {} : { hoursUnit: hoursUnitKnown };
}

function newest(kept: readonly KeptOfDrive[], metric: string): KeptOfDrive | null {
  return kept.find((one) => one.metric === metric && one.place === '') ?? null;
}

const nothingWatched: CounterWatch = { seconds: 0, growth: 0, stretches: 0 };

function watchOf(kept: readonly KeptOfDrive[]): CounterWatch {
  const value = (metric: string) => newest(kept, metric)?.value ?? 0;
  return { seconds: value(seconds), growth: value(growth), stretches: value(stretches) };
}

interface Step {
  readonly seconds: number;
  readonly growth: number;
  readonly isNewStretch: boolean;
}

/** From the look before to this one; null where that is no watched time. */
function stepOf(seen: number, kept: readonly KeptOfDrive[], now: Look): Step | null {
  const before = newest(kept, watchedCount);
  if (before === null || before.value === null || before.boot !== now.boot) return null;
  const gapMs = now.monoMs - before.lastMonoMs;
  if (gapMs <= 0 || gapMs > gapMaxMs || seen < before.value) return null;
  const watched = newest(kept, seconds);
  // Figures of the watch are kept with each step alone, so they tell whether the last look was one.
  const goesOn =
    watched !== null && watched.boot === now.boot && watched.lastMonoMs === before.lastMonoMs;
  return { seconds: gapMs / 1000, growth: seen - before.value, isNewStretch: !goesOn };
}

function added(watch: CounterWatch, step: Step): CounterWatch {
  return {
    seconds: watch.seconds + step.seconds,
    growth: watch.growth + step.growth,
    stretches: watch.stretches + (step.isNewStretch || watch.stretches === 0 ? 1 : 0),
  };
}

function watchReadings(watch: CounterWatch): readonly Reading[] {
  return [
    measured(figure(seconds), Math.round(watch.seconds)),
    measured(figure(growth), watch.growth),
    measured(figure(stretches), watch.stretches),
  ];
}

function unitReading(value: number, words: string): Reading {
  return measured(figure(unit), value, words);
}

function figure(metric: string) {
  return { metric, unit: metricInfo(metric).unit, source: 'Looks at attribute 9 while it was on' };
}
