import type { Check, CheckInput } from '../check.js';
import type { CheckResult, Urgency } from '../finding.js';
import { cannotTell, seriesOf } from '../history.js';
import { type DamageCause, metrics, metricTitle } from '../metrics.js';
import { growthOf } from './growth.js';
import { baselineOf } from './growth-baseline.js';
import {
  type GrowthWords,
  grownResult,
  type MeasuredGrowth,
  steadyResult,
} from './growth-results.js';
import { isQuietSince } from './quiet.js';

interface CauseRule {
  readonly code: string;
  readonly claim: string;
  readonly urgency: (metric: string) => Urgency;
}

/** Of the surface metrics, those that say that data cannot be read now. */
const unreadableNow: readonly string[] = [
  'pending-sectors',
  'uncorrectable-sectors',
  'uncorrectable-errors-reported',
  'media-and-data-errors',
];

const causes: Readonly<Record<DamageCause, CauseRule>> = {
  surface: {
    code: 'surface-damage-grew',
    claim: 'No record of damaged sectors has grown since the drive was first seen here',
    urgency: (metric) => (unreadableNow.includes(metric) ? 'today' : 'soon'),
  },
  cable: {
    code: 'cable-errors-grew',
    claim: 'No transfer was damaged on the data cable since the drive was first seen here',
    urgency: () => 'soon',
  },
  power: {
    code: 'power-was-lost',
    claim: 'The drive did not lose power more often than the box was started',
    urgency: () => 'soon',
  },
  response: {
    code: 'answers-late',
    claim: 'No command was overdue since the drive was first seen here',
    urgency: () => 'soon',
  },
};

const quietSource = 'no growth for 30 days and 200 powered hours';

/**
 * Claim: no damage counter has grown since the drive was first seen here, or since its growth was
 * last accounted for. A counter's level is the past owner's; its growth counts (common practice).
 * Opens when two looks saw the higher value: with the second health reading after the growth.
 * Clears when a person accounts for it, or after 30 days in which the drive was powered for 200
 * hours without further growth; pending sectors must also be back at their first value. One result
 * per cause. Silent without two finite numbers, and after a counter went backwards.
 */
function checkOfCause(cause: DamageCause): Check {
  const { code, claim } = causes[cause];
  return {
    code,
    claim,
    judge: (input) => (input.kind === 'drive' ? judgeCause(input, cause) : []),
  };
}

export const surfaceGrowth = checkOfCause('surface');
export const cableGrowth = checkOfCause('cable');
export const powerGrowth = checkOfCause('power');
export const responseGrowth = checkOfCause('response');

function judgeCause(input: CheckInput, cause: DamageCause): readonly CheckResult[] {
  const infos = metrics.filter((info) => info.damageCause === cause);
  const series = infos.flatMap((info) => seriesOf(input, info.metric));
  if (series.length === 0) return [];
  const { code, urgency } = causes[cause];
  const about = {
    code,
    subject: input.subject,
    unit: series[0]?.unit ?? 'count',
    source: 'the value when it was first seen here, or last accounted for',
    ...sharedOf(input, cause),
  };
  const baseline = baselineOf(input, code);
  const judged = series.map((one) => growthOf(one, { baseline, boot: input.now.boot }));
  const grown = judged.filter((one) => one.kind === 'grew');
  const active = grown.filter((one) => !isQuiet(input, one));
  const words: GrowthWords = {
    label: (one) => metricTitle(one.metric),
    urgency: (one) => urgency(one.series.metric),
  };
  if (active.length > 0) return [grownResult(about, active, words)];
  const backwards = judged.find((one) => one.kind === 'backwards');
  if (backwards !== undefined) return [cannotTell(about, backwards.why)];
  const stopped = grown[0];
  if (stopped !== undefined)
    return [steadyResult({ ...about, source: quietSource }, stopped, words.label)];
  const steady = judged.find((one) => one.kind === 'steady');
  if (steady !== undefined) return [steadyResult(about, steady, words.label)];
  return [cannotTell(about, 'Two readings with numbers are needed to see growth')];
}

/** What a fault of this cause may be in when several drives have it together. */
function sharedOf({ controller, powerLead }: CheckInput, cause: DamageCause) {
  const part = cause === 'cable' ? controller : cause === 'power' ? powerLead : null;
  return part === null ? {} : { sharedPart: part };
}

/** True when growth has stopped for long enough to close the matter. */
function isQuiet(input: CheckInput, { series, to, from }: MeasuredGrowth): boolean {
  if (series.metric === 'pending-sectors' && to.value > from.value) return false;
  return isQuietSince(input, to);
}
