import type { Columns } from './series.js';

/**
 * Reduces columns to at most about `pointsMax` points for drawing. In each stretch the lowest and
 * the highest figure stay, in their order, so a short peak is never lost; gaps stay gaps.
 */
export function thinColumns(columns: Columns, pointsMax: number): Columns {
  const count = columns.x.length;
  if (count <= pointsMax) return columns;
  const stretch = Math.ceil((count * 3) / pointsMax);
  const kept: number[] = [];
  for (let from = 0; from < count; from += stretch) {
    kept.push(...keptOfStretch(columns, from, Math.min(count, from + stretch)));
  }
  const pick = (column: readonly (number | null)[]) => kept.map((index) => column[index] ?? null);
  return {
    x: kept.map((index) => columns.x[index] ?? 0),
    y: pick(columns.y),
    low: pick(columns.low),
    high: pick(columns.high),
    gaps: columns.gaps,
  };
}

function keptOfStretch(columns: Columns, from: number, to: number): number[] {
  let lowest = -1;
  let highest = -1;
  let gap = -1;
  for (let index = from; index < to; index += 1) {
    const value = columns.y[index] ?? null;
    if (value === null) {
      gap = index;
      continue;
    }
    if (lowest < 0 || value < (columns.y[lowest] ?? value)) lowest = index;
    if (highest < 0 || value > (columns.y[highest] ?? value)) highest = index;
  }
  return [...new Set([lowest, highest, gap])].filter((index) => index >= 0).sort((a, b) => a - b);
}
