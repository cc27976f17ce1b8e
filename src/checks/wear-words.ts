import type { KeptFigure } from './array-words.js';
import { formatValue } from './units.js';

/**
 * How far a drive is worn, in one clause in lower case, from its newest readings: percent of
 * endurance used and of spare left with its limit. Null where it tells neither. Never throws.
 */
export function wearClause(latest: readonly KeptFigure[]): string | null {
  const used = figure(latest, 'endurance-used');
  const parts = [
    used === null ? null : `${usedWords(used)} of its endurance used`,
    spareWords(latest),
  ].filter((part) => part !== null);
  return parts.length === 0 ? null : parts.join(', ');
}

/** A full field says "255 % or more" itself. */
function usedWords({ value, unit, text }: KeptFigure): string {
  return text === '' ? formatValue(value, unit) : text;
}

/** A drive that keeps neither spare nor a limit for it tells 0 for both. */
function spareWords(latest: readonly KeptFigure[]): string | null {
  const left = figure(latest, 'spare-left');
  const limit = figure(latest, 'spare-limit');
  if (left === null || (left.value === 0 && (limit?.value ?? 0) === 0)) return null;
  const words = `${formatValue(left.value, left.unit)} of its spare left`;
  return limit === null ? words : `${words} (its limit is ${formatValue(limit.value, limit.unit)})`;
}

function figure(latest: readonly KeptFigure[], metric: string): KeptFigure | null {
  const found = latest.find((one) => one.metric === metric && one.place === '');
  return found !== undefined && found.value !== null ? found : null;
}
