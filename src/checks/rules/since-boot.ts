import type { Look, SeriesHistory } from '../check.js';

/**
 * A counter that the kernel starts anew with each boot, or when its driver is loaded again, as one
 * that goes on: what it counted before the first look of a boot is left out, because ends of a link
 * count while they find each other; a fall within a boot is a driver that was loaded again, and
 * what it counted since is added. The running total begins with 0. Looks without a number stay. A
 * total is at least what happened: what was counted between the last look and a reload is lost.
 */
export function runningTotal(series: SeriesHistory): SeriesHistory {
  let total = 0;
  let before: { readonly boot: number; readonly value: number } | null = null;
  const looks = series.looks.map((look): Look => {
    const { state, value, boot } = look;
    if (state !== 'measured' || value === null || !Number.isFinite(value)) return look;
    if (before !== null && before.boot === boot) {
      total += value < before.value ? value : value - before.value;
    }
    before = { boot, value };
    return { ...look, value: total };
  });
  const { metric, place, unit, source } = series;
  return { metric, place, unit, source, looks };
}
