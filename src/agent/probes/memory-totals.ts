import { measured, type Reading } from '../../checks/reading.js';

/** A kept reading of the same part. */
export interface KeptCount {
  readonly metric: string;
  readonly value: number | null;
  readonly boot: number;
  readonly lastMonoMs: number;
}

interface Moment {
  readonly boot: number;
  readonly monoMs: number;
}

const totals = [
  ['memory-errors-corrected', 'memory-errors-corrected-since-load'],
  ['memory-errors-uncorrectable', 'memory-errors-uncorrectable-since-load'],
] as const;

/** The kernel tells whole seconds, and the two clocks are read one after the other. */
const clockSlackMs = 5_000;

/**
 * Adds the sums over all loads of the counting driver: its counters start at 0 with each load, so
 * what was counted before is kept and added. Errors between the last look and a new load are lost,
 * so the sum is a lower bound. Readings of other kinds of parts come back as they are. Pure.
 */
export function withMemoryTotals(
  readings: readonly Reading[],
  kept: readonly KeptCount[],
  now: Moment,
): readonly Reading[] {
  const seconds = readings.find(({ metric }) => metric === 'memory-counting-time')?.value ?? null;
  const before = (metric: string) => kept.find((one) => one.metric === metric) ?? null;
  const isNewLoad = countsAnew(seconds, before('memory-counting-time'), now);
  const sums = totals.flatMap(([sum, sinceLoad]) => {
    const count = readings.find(({ metric }) => metric === sinceLoad)?.value ?? null;
    if (count === null) return [];
    const source = 'Sum of the kernel’s counts over loads of its driver, at least';
    const total = totalOf(count, {
      total: before(sum)?.value ?? null,
      count: before(sinceLoad)?.value ?? null,
      isNewLoad,
    });
    return [measured({ metric: sum, unit: 'count', source }, total)];
  });
  return [...sums, ...readings];
}

function countsAnew(seconds: number | null, before: KeptCount | null, now: Moment): boolean {
  if (before === null) return false;
  if (before.boot !== now.boot) return true;
  if (seconds === null) return false;
  const passedMs = now.monoMs - before.lastMonoMs;
  return seconds * 1000 + clockSlackMs < passedMs || seconds < (before.value ?? 0);
}

interface Before {
  readonly total: number | null;
  readonly count: number | null;
  readonly isNewLoad: boolean;
}

function totalOf(count: number, { total, count: countBefore, isNewLoad }: Before): number {
  if (total === null || countBefore === null) return count;
  return isNewLoad || count < countBefore ? total + count : total + count - countBefore;
}
