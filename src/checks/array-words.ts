import { memberStates } from './array-state.js';
import { metricInfo } from './metrics.js';
import { countWords, spareWords } from './protection-words.js';
import type { Reading } from './reading.js';
import { formatDuration, formatValue } from './units.js';

/** A reading of an array as it is kept. */
export type KeptFigure = Pick<Reading, 'metric' | 'value' | 'unit'> & {
  readonly place: string;
  readonly text: string;
};

/** How a member is called; its place among the readings is its drive's serial. */
export type NameOfMember = (place: string) => string;

/**
 * The state of an array or pool in clauses, lower case, from its newest readings. Where a figure
 * was not told, the clause says so or is left out; none of them calls an array good. Pure.
 */
export function arrayClauses(
  latest: readonly KeptFigure[],
  nameOf: NameOfMember = (place) => place,
): readonly string[] {
  const clauses = [
    figure(latest, 'array-protection')?.text ?? null,
    figure(latest, 'array-state')?.text ?? null,
    missingClause(latest, nameOf),
    workClause(latest),
    mismatchClause(latest),
    checkClause(latest),
    ...memberClauses(latest, nameOf),
  ];
  return clauses.filter((clause) => clause !== null);
}

function figure(latest: readonly KeptFigure[], metric: string): KeptFigure | null {
  const found = latest.find((one) => one.metric === metric && one.place === '');
  return found !== undefined && found.value !== null ? found : null;
}

function missingClause(latest: readonly KeptFigure[], nameOf: NameOfMember): string | null {
  const missing = figure(latest, 'array-members-missing')?.value ?? null;
  const whole = figure(latest, 'array-protection')?.value ?? null;
  if (missing === null) {
    if (whole === 0) return 'any failure loses data';
    const isAsked = latest.some((one) => one.metric === 'array-members-missing');
    return isAsked ? 'missing members are not told' : null;
  }
  if (missing === 0) return 'whole, no member missing';
  const spare = spareWords(figure(latest, 'array-may-still-fail')?.value ?? null);
  const who = absentMembers(latest).map(nameOf);
  const names = who.length === 0 ? '' : ` (${who.join(', ')})`;
  return `degraded, ${countWords(missing)} missing${names}, ${spare}`;
}

/** Members that the array threw out or lists no more, by their places among the readings. */
function absentMembers(latest: readonly KeptFigure[]): readonly string[] {
  const absent: readonly (number | null)[] = [memberStates.out, memberStates.missing];
  return latest
    .filter(({ metric, value }) => metric === 'array-member-state' && absent.includes(value))
    .map(({ place }) => place);
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

/** When it was last compared; that this is not known stands among what is not known. */
function checkClause(latest: readonly KeptFigure[]): string | null {
  const last = figure(latest, 'array-last-check');
  return last === null ? null : `last ${last.text}`;
}

function memberClauses(latest: readonly KeptFigure[], nameOf: NameOfMember): readonly string[] {
  return latest.flatMap(({ metric, place, value, unit, text }) => {
    if (place === '' || value === null || value === 0) return [];
    if (metric === 'array-member-state') {
      return value === memberStates.left ? [] : [`${nameOf(place)}: ${text}`];
    }
    const label = metricInfo(metric).label.toLowerCase();
    return [`${nameOf(place)}: ${label} ${formatValue(value, unit)}`];
  });
}
