import { median } from './median.js';

export interface ChangePointOptions {
  /** Cost of one more change, in units of squared values. */
  readonly penalty: number;
  /** Fewest values of a stretch, at least 1. */
  readonly shortest?: number;
}

/**
 * Where the mean of a series changes: indexes at which a new stretch begins, ascending, without 0.
 * Least squares within stretches plus `penalty` for each change, found exactly (optimal
 * partitioning with pruning: Killick, Fearnhead, Eckley 2012, from memory). The flow of the Nile
 * (Cobb 1978) gives index 28. Empty for a series too short to split; values must be finite.
 */
export function changePoints(
  values: readonly number[],
  { penalty, shortest = 1 }: ChangePointOptions,
): readonly number[] {
  const length = values.length;
  const sums = runningSums(values);
  const best: number[] = [-penalty];
  const before: number[] = [0];
  let open = [0];
  for (let end = shortest; end <= length; end += 1) {
    const started = open.map((start) => (best[start] ?? Infinity) + sums.cost(start, end));
    const least = Math.min(...started);
    best[end] = least + penalty;
    before[end] = open[started.indexOf(least)] ?? 0;
    open = open.filter((_, at) => (started[at] ?? Infinity) <= least + penalty);
    const next = end + 1 - shortest;
    if (next >= shortest) open.push(next);
  }
  return traceBack(before, length, shortest);
}

function traceBack(before: readonly number[], length: number, shortest: number): readonly number[] {
  const found: number[] = [];
  for (let end = length; end >= shortest; ) {
    const start = before[end] ?? 0;
    if (start === 0) break;
    found.unshift(start);
    end = start;
  }
  return found;
}

/** Sums from the start, so that the cost of any stretch takes one step. */
function runningSums(values: readonly number[]) {
  const sum = new Float64Array(values.length + 1);
  const squares = new Float64Array(values.length + 1);
  for (const [at, value] of values.entries()) {
    sum[at + 1] = (sum[at] ?? 0) + value;
    squares[at + 1] = (squares[at] ?? 0) + value * value;
  }
  return {
    cost(start: number, end: number): number {
      const total = (sum[end] ?? 0) - (sum[start] ?? 0);
      const square = (squares[end] ?? 0) - (squares[start] ?? 0);
      return Math.max(0, square - (total * total) / (end - start));
    },
  };
}

/**
 * Standard deviation of what a series does from one value to the next, hardly touched by steps and
 * outliers: 1.4826 times the median of the absolute differences, over the root of two. The Nile:
 * 115.32. 0 for fewer than two values and for a series that mostly stands still.
 */
export function stepNoise(values: readonly number[]): number {
  const steps = values.slice(1).map((value, at) => Math.abs(value - (values[at] ?? value)));
  return steps.length === 0 ? 0 : (1.4826 * median(steps)) / Math.SQRT2;
}
