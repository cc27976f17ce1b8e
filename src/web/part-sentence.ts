import type { LatestReading, PartRow } from '../agent/store/rows.js';
import { arrayClauses } from '../checks/array-words.js';
import { logClauses, managementTroubles } from '../checks/management-words.js';
import { metricInfo } from '../checks/metrics.js';
import { moduleClauses } from '../checks/module-words.js';
import { readingStateWords } from '../checks/state-words.js';
import { formatValue } from '../checks/units.js';
import { capital, lowerFirst } from './letters.js';
import { subjectTitle } from './part-name.js';

/**
 * The state of a part in one sentence, from its newest readings alone. It names figures and never
 * calls a part good: where nothing was read, it says that. Pure; never throws.
 */
export function partSentence(
  part: PartRow,
  latest: readonly LatestReading[],
  parts: readonly PartRow[] = [],
): string {
  if (latest.length === 0) return 'Nothing has been read from it yet.';
  const nameOf = (name: string) => subjectTitle(name, parts);
  const clauses = clausesOf(part, latest, nameOf).filter((clause) => clause !== null);
  const text = (clauses.length > 0 ? clauses : genericClauses(latest)).join(' · ');
  return text === '' ? 'No figure could be read.' : `${capital(text)}.`;
}

function clausesOf(
  part: PartRow,
  latest: readonly LatestReading[],
  nameOf: (name: string) => string,
): readonly (string | null)[] {
  if (part.kind === 'drive') return driveClauses(part, latest);
  if (part.kind === 'network-card') {
    return [networkClause(latest), ...moduleClauses(latest), pciClause(latest)];
  }
  if (part.kind === 'disk-controller') return [pciClause(latest)];
  if (part.kind === 'array') return arrayClauses(latest, nameOf);
  if (part.kind === 'management-controller') return managementClauses(latest);
  return [];
}

function driveClauses(part: PartRow, latest: readonly LatestReading[]): readonly (string | null)[] {
  const hidden = part.details.notVisibleWhy;
  if (typeof hidden === 'string' && hidden !== '') return [`not visible: ${lowerFirst(hidden)}`];
  return [verdictClause(latest), warmthClause(latest), damageClause(latest), hoursClause(latest)];
}

function find(latest: readonly LatestReading[], metric: string): LatestReading | undefined {
  const all = latest.filter((reading) => reading.metric === metric);
  return all.find((reading) => reading.place === '') ?? all[0];
}

function verdictClause(latest: readonly LatestReading[]): string | null {
  const verdict = find(latest, 'drive-verdict');
  return verdict?.value === 1 ? 'the drive itself says that it is failing' : null;
}

function warmthClause(latest: readonly LatestReading[]): string | null {
  const now = find(latest, 'temperature');
  if (now === undefined) return null;
  if (now.value === null)
    return now.state === 'asleep' ? 'asleep' : `temperature: ${readingStateWords[now.state]}`;
  const limit = find(latest, 'temperature-limit')?.value ?? null;
  const words = formatValue(now.value, 'celsius');
  if (limit === null) return `${words}, its limit is not known`;
  const apart = limit - now.value;
  const where = apart >= 0 ? `${apart} below` : `${-apart} above`;
  return `${words}, ${where} its limit of ${formatValue(limit, 'celsius')}`;
}

function damageClause(latest: readonly LatestReading[]): string | null {
  const counters = latest.filter((reading) => metricInfo(reading.metric).damage);
  const read = counters.filter((reading) => reading.value !== null);
  if (counters.length === 0) return null;
  if (read.length === 0) return 'no damage counter could be read';
  const harmed = read.filter((reading) => (reading.value ?? 0) > 0);
  if (harmed.length === 0) {
    return `no damage in ${read.length} ${read.length === 1 ? 'counter' : 'counters'}`;
  }
  return harmed.map(damageWords).join(', ');
}

function damageWords(reading: LatestReading): string {
  const words = `${lowerFirst(metricInfo(reading.metric).label)} ${formatValue(reading.value ?? 0, 'count')}`;
  if (reading.firstValue === null) return words;
  const grown = (reading.value ?? 0) - reading.firstValue;
  if (grown > 0) return `${words} (${formatValue(grown, 'count')} more since first seen)`;
  return grown < 0 ? `${words} (fewer than when first seen)` : `${words} (none since first seen)`;
}

function hoursClause(latest: readonly LatestReading[]): string | null {
  const hours = find(latest, 'power-on-hours');
  return hours?.value == null ? null : `${formatValue(hours.value, 'count')} power-on hours`;
}

function networkClause(latest: readonly LatestReading[]): string | null {
  const rate = find(latest, 'network-rate');
  if (rate === undefined) return null;
  if (rate.value === null) return `network rate: ${absence(rate)}`;
  const possible = find(latest, 'network-rate-possible')?.value ?? null;
  const words = `connected at ${formatValue(rate.value, 'bits-per-second')}`;
  if (possible === null) return words;
  if (possible === rate.value) return `${words}, its full rate`;
  return `${words} of possible ${formatValue(possible, 'bits-per-second')}`;
}

function pciClause(latest: readonly LatestReading[]): string | null {
  const lanes = find(latest, 'pci-link-lanes');
  const speed = find(latest, 'pci-link-speed');
  if (lanes === undefined || speed === undefined) return null;
  if (lanes.value === null || speed.value === null) {
    return `slot link: ${absence(lanes.value === null ? lanes : speed)}`;
  }
  const now = pciWords(speed.value, lanes.value);
  const lanesPossible = find(latest, 'pci-link-lanes-possible')?.value ?? null;
  const speedPossible = find(latest, 'pci-link-speed-possible')?.value ?? null;
  if (lanesPossible === null || speedPossible === null) return `slot link ${now}`;
  if (lanesPossible <= lanes.value && speedPossible <= speed.value)
    return `slot link ${now}, all it can`;
  return `slot link ${now} of possible ${pciWords(speedPossible, lanesPossible)}`;
}

function pciWords(speed: number, lanes: number): string {
  return `${formatValue(speed, 'gigatransfers-per-second')} over ${lanes} ${lanes === 1 ? 'lane' : 'lanes'}`;
}

function absence(reading: LatestReading): string {
  const words = readingStateWords[reading.state];
  return reading.text === '' ? words : `${words}, ${lowerFirst(reading.text)}`;
}

/** What is in trouble by its own word, how many sensors it reads, its log and its clock. */
function managementClauses(latest: readonly LatestReading[]): readonly (string | null)[] {
  const sensors = latest.filter(
    ({ value, metric, place }) => value !== null && place !== '' && !metric.endsWith('-limit'),
  );
  return [
    ...managementTroubles(latest),
    `${sensors.length} of its sensors read`,
    ...logClauses(latest),
  ];
}

const namedInGeneric = 6;

function genericClauses(latest: readonly LatestReading[]): readonly string[] {
  const measured = latest.filter(
    ({ value, metric }) => value !== null && metric !== 'temperature-limit',
  );
  if (measured.length === 0)
    return latest
      .slice(0, 2)
      .map((r) => `${lowerFirst(metricInfo(r.metric).label)}: ${absence(r)}`);
  const named = measured.slice(0, namedInGeneric).map((reading) => {
    const name =
      reading.place === '' ? lowerFirst(metricInfo(reading.metric).label) : reading.place;
    return `${name} ${reading.text || formatValue(reading.value ?? 0, reading.unit)}`;
  });
  const more = measured.length - named.length;
  return more > 0 ? [...named, `${more} more`] : named;
}
