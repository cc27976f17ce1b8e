import { growthOf, growthWords } from './growth.js';
import { lowerFirst } from './letters.js';
import { linkClause, pciClause } from './link-words.js';
import { metricInfo, metricTitle } from './metrics.js';
import { mainFigure, type SeenFigure } from './seen-figure.js';
import { readingStateWords } from './state-words.js';
import { timeLimitWords } from './time-limit-words.js';
import { formatValue } from './units.js';
import { wearClause } from './wear-words.js';

type Latest = readonly SeenFigure[];
type DayOf = (wallMs: number) => string;

/**
 * What matters first of a drive, in clauses that stand within a sentence: its own word when it is
 * failing, warmth, damage with its growth, wear, hours. None calls it good. Pure; never throws.
 */
export function driveInShort(latest: Latest, dayOf: DayOf): readonly (string | null)[] {
  const isFailing = mainFigure(latest, 'drive-verdict')?.value === 1;
  return [
    kernelStateClause(latest),
    isFailing ? verdictClause(latest) : null,
    warmthClause(latest) ?? warmthAbsent(latest),
    ...harmedClauses(latest, dayOf),
    damageInShort(latest),
    wearClause(latest),
    hoursClause(latest),
  ];
}

/** All that a drive's newest readings tell, in such clauses. Pure; never throws. */
export function driveInFull(latest: Latest, dayOf: DayOf): readonly (string | null)[] {
  const cycles = mainFigure(latest, 'power-cycles');
  return [
    bridgeClause(latest),
    kernelStateClause(latest),
    verdictClause(latest),
    warmthClause(latest),
    ...harmedClauses(latest, dayOf),
    cleanClause(latest),
    wearClause(latest),
    hoursClause(latest, cycles),
    agesClause(latest),
    hoursUnitClause(latest),
    selfTestClause(latest),
    linkClause(latest, 'sata-link-speed', 'SATA link'),
    pciClause(latest),
    timeLimitClause(latest),
  ];
}

/** A person looks for the label of the drive, not for the name that a bridge has. */
function bridgeClause(latest: Latest): string | null {
  const behind = mainFigure(latest, 'drive-behind-bridge');
  return behind === null ? null : `behind the USB bridge of this name answers ${behind.text}`;
}

/** Told when requests do not reach the drive, or when commands to it were overdue. */
function kernelStateClause(latest: Latest): string | null {
  const state = mainFigure(latest, 'kernel-drive-state');
  const timeouts = mainFigure(latest, 'kernel-timeouts')?.value ?? 0;
  const told = [
    ...(state === null || state.value === 0 ? [] : [state.text]),
    ...(timeouts === 0 ? [] : [`the kernel gave up waiting for ${timeouts} of its commands`]),
  ];
  return told.length === 0 ? null : told.join('; ');
}

function verdictClause(latest: Latest): string | null {
  const verdict = mainFigure(latest, 'drive-verdict');
  if (verdict === null) return null;
  return `the drive itself ${verdict.value === 1 ? 'says' : 'does not say'} that it is failing`;
}

function warmthClause(latest: Latest): string | null {
  const now = mainFigure(latest, 'temperature')?.value ?? null;
  if (now === null) return null;
  const limit = mainFigure(latest, 'temperature-limit')?.value ?? null;
  const words = formatValue(now, 'celsius');
  if (limit === null) return `${words}, its limit is not known`;
  const apart = formatValue(Math.abs(limit - now), 'celsius');
  const where = now < limit ? `${apart} below` : `${apart} above`;
  return `${words}, ${where} its own limit of ${formatValue(limit, 'celsius')}`;
}

function warmthAbsent(latest: Latest): string | null {
  const now = latest.find((one) => one.metric === 'temperature' && one.place === '');
  if (now === undefined) return null;
  return now.state === 'asleep' ? 'asleep' : `temperature: ${readingStateWords[now.state]}`;
}

function damageOf(latest: Latest): Latest {
  return latest.filter(({ metric }) => metricInfo(metric).damage);
}

/** Each counter of damage that is not at zero, with its growth. */
function harmedClauses(latest: Latest, dayOf: DayOf): readonly string[] {
  const harmed = damageOf(latest).filter(({ value }) => value !== null && value !== 0);
  return harmed.map((reading) => {
    const place = reading.place === '' ? '' : `, ${reading.place}`;
    const title = lowerFirst(metricTitle(reading.metric));
    const words = `${title}${place}: ${formatValue(reading.value, reading.unit)}`;
    const growth = growthOf(reading, dayOf);
    return growth === null ? words : `${words}, ${growthWords(growth)}`;
  });
}

function damageInShort(latest: Latest): string | null {
  const counters = damageOf(latest);
  const read = counters.filter(({ value }) => value !== null);
  if (counters.length === 0 || read.some(({ value }) => value !== 0)) return null;
  if (read.length === 0) return 'no damage counter could be read';
  return `no damage in ${read.length} ${read.length === 1 ? 'counter' : 'counters'}`;
}

function cleanClause(latest: Latest): string | null {
  const clean = damageOf(latest).filter(({ value }) => value === 0);
  const names = [...new Set(clean.map(({ metric }) => lowerFirst(metricInfo(metric).label)))];
  return names.length === 0 ? null : `counted at zero: ${names.join(', ')}`;
}

function hoursClause(latest: Latest, cycles: SeenFigure | null = null): string | null {
  const hours = mainFigure(latest, 'power-on-hours');
  if (hours === null) return null;
  const behind = cycles === null ? '' : `, switched on ${formatValue(cycles.value, 'count')} times`;
  return `${formatValue(hours.value, 'count')} power-on hours${behind}`;
}

/** The records of age beside the plain figure, by their span: they should agree. */
function agesClause(latest: Latest): string | null {
  const hours = latest.flatMap(({ metric, value }) =>
    metric === 'hour-counter' && value !== null ? [value] : [],
  );
  if (hours.length < 2) return null;
  const ends = [...new Set([Math.min(...hours), Math.max(...hours)])];
  const span = ends.map((end) => formatValue(end, 'count')).join(' to ');
  return `${hours.length} records of its age tell ${span} hours`;
}

function hoursUnitClause(latest: Latest): string | null {
  const learned = mainFigure(latest, 'hours-unit');
  return learned === null ? null : `its counter 9 counts ${learned.text}`;
}

function selfTestClause(latest: Latest): string | null {
  const left = mainFigure(latest, 'self-test-running');
  if (left?.value) return `it runs a self-test, ${formatValue(left.value, 'percent')} left`;
  const result = mainFigure(latest, 'self-test-result');
  return result === null || result.text === '' ? null : `last self-test: ${result.text}`;
}

function timeLimitClause(latest: Latest): string | null {
  const kernelMs = mainFigure(latest, 'kernel-time-limit')?.value ?? null;
  if (kernelMs === null) return null;
  const limits = latest.filter(({ metric }) => metric === 'error-recovery-time-limit');
  const told = limits.flatMap(({ value }) => value ?? []);
  const driveMs = told.includes(0) ? 0 : told.length === 0 ? null : Math.max(...told);
  return timeLimitWords({ kernelMs, driveMs });
}
