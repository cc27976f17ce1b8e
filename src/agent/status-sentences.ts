import { onlyDuringWork } from '../checks/array-state.js';
import { capital, lowerFirst } from '../checks/letters.js';
import { metricInfo } from '../checks/metrics.js';
import { dayWords } from '../checks/moments.js';
import { partClauses } from '../checks/part-words.js';
import { asLastRead } from '../checks/seen-figure.js';
import { readingStateWords } from '../checks/state-words.js';
import { formatDuration } from '../checks/units.js';
import type { LatestReading, PartRow } from './store/rows.js';

export interface SaidOf {
  readonly nowWallMs: number;
  /** How a drive is called, by its serial. */
  readonly nameOf: (serial: string) => string;
}

/**
 * The state of a part in whole sentences, from its newest readings alone. They name figures and
 * never call a part good: what was not read is not spoken of here but in `absencesOf`.
 */
export function sentencesOf(
  part: PartRow,
  latest: readonly LatestReading[],
  { nowWallMs, nameOf }: SaidOf,
): readonly string[] {
  if (latest.length === 0) return ['Nothing has been read from it yet.'];
  const { kind, details } = part;
  const wording = { length: 'full', nameOf, dayOf: dayWords } as const;
  const clauses = partClauses({ kind, details, latest: latest.map(asLastRead) }, wording);
  const newest = newestSentence(latest, nowWallMs);
  return [...clauses.map((clause) => `${capital(clause)}.`), ...(newest === null ? [] : [newest])];
}

/**
 * How old the figures are. The kernel's own files are read far more often than a drive's records,
 * so a drive's age is that of its records; one that sleeps is said to sleep beside it.
 */
function newestSentence(latest: readonly LatestReading[], nowWallMs: number): string | null {
  const read = latest.map(asLastRead).filter(({ state }) => state === 'measured');
  const records = read.filter(({ metric }) => metric === 'power-on-hours');
  const newest = newestWallMs(records.length > 0 ? records : read);
  const readWords = newest === null ? null : `last read ${ageWords(newest, nowWallMs)}`;
  const slept = newestWallMs(latest.filter(({ state }) => state === 'asleep'));
  if (slept === null) return readWords === null ? null : `${capital(readWords)}.`;
  const asleep = `Asleep when last looked at, ${ageWords(slept, nowWallMs)}, and not woken`;
  return readWords === null ? `${asleep}.` : `${asleep}; ${readWords}.`;
}

function newestWallMs(readings: readonly LatestReading[]): number | null {
  return readings.length === 0 ? null : Math.max(...readings.map(({ lastWallMs }) => lastWallMs));
}

/** How long ago; a moment after now means that the calendar was set meanwhile. */
export function ageWords(wallMs: number, nowWallMs: number): string {
  const ageMs = nowWallMs - wallMs;
  if (ageMs < -60_000) return 'at a time that the calendar does not allow to tell';
  return ageMs < 60_000 ? 'just now' : `${formatDuration(ageMs / 1000)} ago`;
}

/** What is not known of a part, one sentence for each reason, most figures first. */
export function absencesOf(latest: readonly LatestReading[]): readonly string[] {
  const byReason = new Map<string, string[]>();
  for (const reading of latest) {
    if (reading.state === 'measured' || reading.state === 'asleep') continue;
    if (onlyDuringWork.includes(reading.metric)) continue;
    const reason = `${readingStateWords[reading.state]}\n${reading.text}`;
    const place = reading.place === '' ? '' : ` (${reading.place})`;
    const name = `${lowerFirst(metricInfo(reading.metric).label)}${place}`;
    byReason.set(reason, [...(byReason.get(reason) ?? []), name]);
  }
  const sorted = [...byReason].sort(([, one], [, other]) => other.length - one.length);
  return sorted.map(([reason, names]) => {
    const [state = '', why = ''] = reason.split('\n');
    const told = why === '' ? '' : `: ${lowerFirst(why)}`;
    return `${capital(state)} for ${names.join(', ')}${told}.`;
  });
}
