import { onlyDuringWork } from '../checks/array-state.js';
import { arrayClauses } from '../checks/array-words.js';
import { managementSentences } from '../checks/management-words.js';
import { metricInfo, metricTitle } from '../checks/metrics.js';
import { moduleClauses } from '../checks/module-words.js';
import { readingStateWords } from '../checks/state-words.js';
import { timeLimitWords } from '../checks/time-limit-words.js';
import { formatDuration, formatValue } from '../checks/units.js';
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
  const said = kindSentences(part, latest, nameOf).filter((one) => one !== null);
  return [...said, newestSentence(latest, nowWallMs)].filter((one) => one !== null);
}

function kindSentences(
  part: PartRow,
  latest: readonly LatestReading[],
  nameOf: SaidOf['nameOf'],
): readonly (string | null)[] {
  switch (part.kind) {
    case 'drive':
      return [
        bridgeSentence(latest),
        kernelStateSentence(latest),
        verdictSentence(latest),
        temperatureSentence(latest),
        ...damageSentences(latest),
        hoursSentence(latest),
        otherHoursSentence(latest),
        hoursUnitSentence(latest),
        selfTestSentence(latest),
        linkSentence(latest, 'sata-link-speed', 'SATA link'),
        pciSentence(latest),
        timeLimitSentence(latest),
      ];
    case 'network-card':
      return [
        linkSentence(latest, 'network-rate', 'Network link'),
        ...moduleClauses(latest).map((clause) => `${upperFirst(clause)}.`),
        pciSentence(latest),
      ];
    case 'disk-controller':
      return [pciSentence(latest)];
    case 'array':
      return arrayClauses(latest, nameOf).map((clause) => `${upperFirst(clause)}.`);
    case 'management-controller':
      return managementSentences(latest);
    default:
      return sensorSentences(latest);
  }
}

/** The newest figure of a metric at its main place, when it is a number. */
function figureOf(latest: readonly LatestReading[], metric: string): LatestReading | null {
  const found = latest.find((one) => one.metric === metric && one.place === '');
  return found !== undefined && found.value !== null ? found : null;
}

function timeLimitSentence(latest: readonly LatestReading[]): string | null {
  const kernelMs = figureOf(latest, 'kernel-time-limit')?.value ?? null;
  if (kernelMs === null) return null;
  const limits = latest.filter(({ metric }) => metric === 'error-recovery-time-limit');
  const told = limits.flatMap(({ value }) => value ?? []);
  const driveMs = told.includes(0) ? 0 : told.length === 0 ? null : Math.max(...told);
  return `${upperFirst(timeLimitWords({ kernelMs, driveMs }))}.`;
}

/** A person looks for the label of the drive, not for the name that a bridge has. */
function bridgeSentence(latest: readonly LatestReading[]): string | null {
  const behind = figureOf(latest, 'drive-behind-bridge');
  return behind === null ? null : `Behind the USB bridge of this name answers ${behind.text}.`;
}

/** Told when requests do not reach the drive, or when commands to it were overdue. */
function kernelStateSentence(latest: readonly LatestReading[]): string | null {
  const state = figureOf(latest, 'kernel-drive-state');
  const timeouts = figureOf(latest, 'kernel-timeouts')?.value ?? 0;
  const told = [
    ...(state === null || state.value === 0 ? [] : [state.text]),
    ...(timeouts === 0 ? [] : [`the kernel gave up waiting for ${timeouts} of its commands`]),
  ];
  return told.length === 0 ? null : `${upperFirst(told.join('; '))}.`;
}

function verdictSentence(latest: readonly LatestReading[]): string | null {
  const verdict = figureOf(latest, 'drive-verdict');
  if (verdict === null) return null;
  return verdict.value === 1
    ? 'The drive itself says that it is failing.'
    : 'The drive itself does not say that it is failing.';
}

function temperatureSentence(latest: readonly LatestReading[]): string | null {
  const now = figureOf(latest, 'temperature');
  if (now?.value == null) return null;
  const limit = figureOf(latest, 'temperature-limit')?.value ?? null;
  const words = formatValue(now.value, 'celsius');
  if (limit === null) return `Temperature ${words}; its limit is not known.`;
  const apart = formatValue(Math.abs(limit - now.value), 'celsius');
  const where = now.value < limit ? `${apart} below` : `${apart} above`;
  return `Temperature ${words}, ${where} its own limit of ${formatValue(limit, 'celsius')}.`;
}

/** Counters that stand at 0 are told together, each of the others with its growth. */
function damageSentences(latest: readonly LatestReading[]): readonly string[] {
  const read = latest.filter((one) => metricInfo(one.metric).damage && one.value !== null);
  const grown = read.filter(({ value }) => value !== 0);
  const clean = read.filter(({ value }) => value === 0);
  const names = [...new Set(clean.map(({ metric }) => lowerFirst(metricInfo(metric).label)))];
  return [
    ...grown.map(damageSentence),
    ...(names.length === 0 ? [] : [`Counted at zero: ${names.join(', ')}.`]),
  ];
}

function damageSentence(reading: LatestReading): string {
  const place = reading.place === '' ? '' : `, ${reading.place}`;
  const words = `${metricTitle(reading.metric)}${place}: ${formatValue(reading.value, reading.unit)}`;
  if (reading.firstValue === null || reading.value === null) return `${words}.`;
  const growth = reading.value - reading.firstValue;
  if (growth === 0) return `${words}, none of them since it was first seen here.`;
  const more = `${formatValue(Math.abs(growth), reading.unit)} ${growth > 0 ? 'more' : 'fewer'}`;
  return `${words}, ${more} than when it was first seen here.`;
}

function hoursSentence(latest: readonly LatestReading[]): string | null {
  const hours = figureOf(latest, 'power-on-hours');
  if (hours === null) return null;
  const cycles = figureOf(latest, 'power-cycles');
  const behind = cycles === null ? '' : `, switched on ${formatValue(cycles.value, 'count')} times`;
  return `${formatValue(hours.value, 'count')} power-on hours${behind}.`;
}

/** The records of age beside the plain figure, by their span: they should agree. */
function otherHoursSentence(latest: readonly LatestReading[]): string | null {
  const hours = latest.flatMap(({ metric, value }) =>
    metric === 'hour-counter' && value !== null ? [value] : [],
  );
  if (hours.length < 2) return null;
  const [lowest, highest] = [Math.min(...hours), Math.max(...hours)];
  const span =
    lowest === highest
      ? `${formatValue(lowest, 'count')}`
      : `${formatValue(lowest, 'count')} to ${formatValue(highest, 'count')}`;
  return `${hours.length} records of its age tell ${span} hours.`;
}

function hoursUnitSentence(latest: readonly LatestReading[]): string | null {
  const learned = figureOf(latest, 'hours-unit');
  return learned === null ? null : `Its counter 9 counts ${learned.text}.`;
}

function selfTestSentence(latest: readonly LatestReading[]): string | null {
  const left = figureOf(latest, 'self-test-running');
  if (left?.value) return `It runs a self-test, ${formatValue(left.value, 'percent')} left.`;
  const result = figureOf(latest, 'self-test-result');
  return result === null || result.text === '' ? null : `Last self-test: ${result.text}.`;
}

function linkSentence(
  latest: readonly LatestReading[],
  metric: string,
  name: string,
): string | null {
  const now = figureOf(latest, metric);
  if (now === null) return null;
  const words = `${name} at ${formatValue(now.value, now.unit)}`;
  const possible = figureOf(latest, `${metric}-possible`);
  const note = now.text === '' ? '' : ` (${now.text})`;
  if (possible?.value == null || now.value === null) return `${words}${note}.`;
  return now.value >= possible.value
    ? `${words}, all that both ends can do${note}.`
    : `${words}, where both ends can do ${formatValue(possible.value, possible.unit)}${note}.`;
}

function pciSentence(latest: readonly LatestReading[]): string | null {
  const [speed, lanes] = [figureOf(latest, 'pci-link-speed'), figureOf(latest, 'pci-link-lanes')];
  if (speed === null || lanes === null) return null;
  const words = `PCI link at ${pciWords(speed, lanes)}`;
  const speedMax = figureOf(latest, 'pci-link-speed-possible');
  const lanesMax = figureOf(latest, 'pci-link-lanes-possible');
  if (speedMax?.value == null || lanesMax?.value == null) return `${words}.`;
  const full = (speed.value ?? 0) >= speedMax.value && (lanes.value ?? 0) >= lanesMax.value;
  return full
    ? `${words}, all that both ends can do.`
    : `${words}, where both ends can do ${pciWords(speedMax, lanesMax)}.`;
}

function pciWords(speed: LatestReading, lanes: LatestReading): string {
  return `${formatValue(speed.value, speed.unit)} over ${formatValue(lanes.value, lanes.unit)}`;
}

function sensorSentences(latest: readonly LatestReading[]): readonly string[] {
  return latest.flatMap((reading) => {
    if (reading.value === null || reading.metric.endsWith('-limit')) return [];
    const name = reading.place === '' ? metricInfo(reading.metric).label : reading.place;
    if (reading.unit === 'code' && reading.text !== '') return [`${name}: ${reading.text}.`];
    const note = reading.text === '' ? '' : ` (${reading.text})`;
    return [`${name} ${formatValue(reading.value, reading.unit)}${note}.`];
  });
}

/**
 * How old the figures are. The kernel's own files are read far more often than a drive's records,
 * so a drive's age is that of its records; one that sleeps is said to sleep beside it.
 */
function newestSentence(latest: readonly LatestReading[], nowWallMs: number): string | null {
  const read = latest.filter(({ state }) => state === 'measured');
  const records = read.filter(({ metric }) => metric === 'power-on-hours');
  const newest = newestWallMs(records.length > 0 ? records : read);
  const readWords = newest === null ? null : `last read ${ageWords(newest, nowWallMs)}`;
  const slept = newestWallMs(latest.filter(({ state }) => state === 'asleep'));
  if (slept === null) return readWords === null ? null : `${upperFirst(readWords)}.`;
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
    return `${upperFirst(state)} for ${names.join(', ')}${told}.`;
  });
}

function upperFirst(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Words in capitals, such as SATA and NVMe, stay as they are. */
function lowerFirst(text: string): string {
  return /^[A-Z][a-z ]/.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text;
}
