import { metricInfo } from './metrics.js';
import type { Reading } from './reading.js';
import { formatDuration, formatValue } from './units.js';

/** A reading of an array as it is kept. */
export type KeptFigure = Pick<Reading, 'metric' | 'value' | 'unit'> & {
  readonly place: string;
  readonly text: string;
};

/**
 * The state of an array or pool in clauses, lower case, from its newest readings. Where a figure
 * was not told, the clause says so or is left out; none of them calls an array good. Pure.
 */
export function arrayClauses(latest: readonly KeptFigure[]): readonly string[] {
  const clauses = [
    stateClause(latest),
    missingClause(latest),
    workClause(latest),
    mismatchClause(latest),
    ...memberClauses(latest),
  ];
  return clauses.filter((clause) => clause !== null);
}

function figure(latest: readonly KeptFigure[], metric: string): KeptFigure | null {
  const found = latest.find((one) => one.metric === metric && one.place === '');
  return found !== undefined && found.value !== null ? found : null;
}

function stateClause(latest: readonly KeptFigure[]): string | null {
  return figure(latest, 'array-state')?.text ?? null;
}

function missingClause(latest: readonly KeptFigure[]): string | null {
  const missing = figure(latest, 'array-members-missing')?.value ?? null;
  if (missing === null) {
    const isAsked = latest.some((one) => one.metric === 'array-members-missing');
    return isAsked ? 'missing members are not told' : null;
  }
  const words = missing === 0 ? 'no member missing' : `${formatValue(missing, 'count')} missing`;
  const may = figure(latest, 'array-may-still-fail')?.value ?? null;
  if (may === null) return `${words}, how many may still fail is not known`;
  return may === 0
    ? `${words}, the next failure loses data`
    : `${words}, ${formatValue(may, 'count')} may still fail`;
}

function workClause(latest: readonly KeptFigure[]): string | null {
  const work = figure(latest, 'array-work');
  if (work === null || work.value === 0) return null;
  const done = figure(latest, 'array-work-done')?.value ?? null;
  const left = figure(latest, 'array-work-left')?.value ?? null;
  return [
    work.text,
    done === null ? null : `${formatValue(done, 'percent')} done`,
    left === null ? null : `about ${formatDuration(left)} left`,
  ]
    .filter((one) => one !== null)
    .join(', ');
}

function mismatchClause(latest: readonly KeptFigure[]): string | null {
  const count = figure(latest, 'array-mismatches')?.value ?? 0;
  return count > 0 ? `copies disagreed in up to ${formatValue(count, 'sectors')} sectors` : null;
}

function memberClauses(latest: readonly KeptFigure[]): readonly string[] {
  return latest.flatMap(({ metric, place, value, unit, text }) => {
    if (place === '' || value === null || value === 0) return [];
    if (metric === 'array-member-state') return [`${place}: ${text}`];
    const label = metricInfo(metric).label.toLowerCase();
    return [`${place}: ${label} ${formatValue(value, unit)}`];
  });
}
