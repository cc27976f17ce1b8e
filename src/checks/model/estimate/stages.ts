import type { ChainStage } from '../topology.js';
import type { Interval, PathEstimate, Stage } from './types.js';

/** A link of a chain as a stage; null where the model does not tell what it carries. */
export function stageOf({ part, ceiling }: ChainStage): Stage | null {
  if (ceiling === null) return null;
  const { usable, low, high, why, source } = ceiling;
  return { part, bytesPerSecond: usable, low, high, why, source };
}

/** The same stage seen from the user: each figure times `factor`, with the reason in front. */
export function scaledStage(stage: Stage, factor: number, why: string): Stage {
  return {
    ...stage,
    bytesPerSecond: stage.bytesPerSecond * factor,
    low: stage.low * factor,
    high: stage.high * factor,
    why,
  };
}

/**
 * The smallest stage and what a better part in its place would gain, in bytes per second: the next
 * smallest stage less the smallest. The first of equal stages counts as the limit.
 */
export function limitOf(stages: readonly Stage[]): Pick<PathEstimate, 'limit' | 'headroom'> {
  const smallest = smallestStage(stages);
  if (smallest === null) return { limit: null, headroom: null };
  const next = smallestStage(stages.filter((one) => one.part !== smallest.part));
  return {
    limit: { part: smallest.part, bytesPerSecond: smallest.bytesPerSecond },
    headroom: next === null ? null : next.bytesPerSecond - smallest.bytesPerSecond,
  };
}

export function smallestStage(stages: readonly Stage[]): Stage | null {
  return stages.reduce<Stage | null>(
    (least, one) => (least === null || one.bytesPerSecond < least.bytesPerSecond ? one : least),
    null,
  );
}

export function scaledInterval({ expected, low, high }: Interval, factor: number): Interval {
  return { expected: expected * factor, low: low * factor, high: high * factor };
}

export function sumOfIntervals(intervals: readonly Interval[]): Interval {
  const add = (key: keyof Interval) => intervals.reduce((sum, one) => sum + one[key], 0);
  return { expected: add('expected'), low: add('low'), high: add('high') };
}
