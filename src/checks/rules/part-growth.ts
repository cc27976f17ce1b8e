import type { Check, CheckInput, SeriesHistory } from '../check.js';
import type { CheckResult, Urgency } from '../finding.js';
import { cannotTell, compareMoments, numberLooks, seriesOf } from '../history.js';
import { metricInfo } from '../metrics.js';
import type { PartKind } from '../part.js';
import { growthOf } from './growth.js';
import { baselineOf } from './growth-baseline.js';
import {
  type GrowthWords,
  grownResult,
  type MeasuredGrowth,
  steadyResult,
} from './growth-results.js';
import { runningTotal } from './since-boot.js';

/** One counter of a rule about growth. */
export interface GrowthMetric {
  readonly metric: string;
  readonly urgency: (growth: MeasuredGrowth, input: CheckInput) => Urgency;
  /** The kernel starts it at 0 with each boot: only growth within a boot counts. */
  readonly sinceBoot: boolean;
  /** Growth up to this is no fault. */
  readonly freeGrowth: number;
  /** Looks that must each have seen it grow further. */
  readonly risesMin: number;
}

export interface GrowthRule {
  readonly code: string;
  readonly claim: string;
  readonly kinds: readonly PartKind[];
  readonly metrics: readonly GrowthMetric[];
  /** Which of several places of one figure are judged; all of them when not given. */
  readonly isPlaceJudged?: (place: string) => boolean;
  /** Why nothing can be told of a part without any of these counters; silent when not given. */
  readonly absentWhy?: string;
}

/** Without growth for this long, in days and in hours of watching, it has stopped (our choice). */
const quietMs = 30 * 86_400_000;
const quietWatchedMs = 200 * 3_600_000;

const source = 'the value when it was first seen here, or last accounted for';
const quietSource = 'no growth for 30 days and 200 watched hours';

/**
 * A check that error counters of a part have not grown since it was first seen here, or since their
 * growth was last accounted for. Opens when two looks saw the higher value; clears when a person
 * accounts for it, or after 30 days in which the counter was watched for 200 hours without further
 * growth. One result for each part: its evidence names each counter that grew.
 */
export function growthCheck(rule: GrowthRule): Check {
  const { code, claim, kinds } = rule;
  return {
    code,
    claim,
    judge: (input) => (kinds.includes(input.kind) ? judgeGrowth(rule, input) : []),
  };
}

interface Judged {
  readonly about: GrowthMetric;
  readonly growth: MeasuredGrowth;
}

function judgeGrowth(rule: GrowthRule, input: CheckInput): readonly CheckResult[] {
  const about = { code: rule.code, subject: input.subject, unit: 'count', source } as const;
  const series = rule.metrics.flatMap((one) =>
    placesOf(rule, seriesOf(input, one.metric)).map((history) => ({ about: one, history })),
  );
  if (series.length === 0) {
    return rule.absentWhy === undefined ? [] : [cannotTell(about, rule.absentWhy)];
  }
  const options = { baseline: baselineOf(input, rule.code), boot: input.now.boot };
  const judged = series.flatMap((one): readonly Judged[] => {
    const counted = one.about.sinceBoot ? runningTotal(one.history) : one.history;
    const growth = growthOf(counted, options);
    return 'from' in growth ? [{ about: one.about, growth }] : [];
  });
  return [resultOf(about, judged, input)];
}

function placesOf({ isPlaceJudged }: GrowthRule, all: readonly SeriesHistory[]) {
  return isPlaceJudged === undefined ? all : all.filter(({ place }) => isPlaceJudged(place));
}

function resultOf(
  about: Pick<CheckResult, 'code' | 'subject' | 'source'> & { readonly unit: 'count' },
  judged: readonly Judged[],
  input: CheckInput,
): CheckResult {
  const byGrowth = new Map(judged.map((one) => [one.growth, one.about]));
  const words: GrowthWords = {
    label: (series) => labelOf(series, input),
    urgency: (growth) => byGrowth.get(growth)?.urgency(growth, input) ?? 'soon',
  };
  const grown = judged.filter(isGrown).map(({ growth }) => growth);
  const active = grown.filter((growth) => !isQuiet(growth, input));
  if (active.length > 0) return grownResult(about, active, words);
  const [stopped] = grown;
  if (stopped !== undefined) {
    return steadyResult({ ...about, source: quietSource }, stopped, words.label);
  }
  const steady = judged[0]?.growth;
  if (steady !== undefined) return steadyResult(about, within(steady, judged), words.label);
  return cannotTell(about, 'Two readings with numbers are needed to see growth');
}

/** Growth that is no fault is expected to stay within what is free. */
function within(growth: MeasuredGrowth, judged: readonly Judged[]): MeasuredGrowth {
  const free = judged.find((one) => one.growth === growth)?.about.freeGrowth ?? 0;
  return { ...growth, kind: 'steady', allowed: growth.from.value + free };
}

function isGrown({ about, growth }: Judged): boolean {
  if (growth.kind !== 'grew') return false;
  if (growth.to.value - growth.from.value <= about.freeGrowth) return false;
  return risesOf(growth) >= about.risesMin;
}

/** Rises further apart than this are two matters: a drive was plugged once and once again. */
const risesTogetherMs = 7 * 86_400_000;

/** Looks of the last week of growth that saw a higher value than the look before. */
function risesOf({ series, from, to }: MeasuredGrowth): number {
  const counted = numberLooks(series.looks).filter((look) => compareMoments(look, from) >= 0);
  return counted.filter(
    (look, index) =>
      look.value > (counted[index - 1]?.value ?? look.value) &&
      to.wallMs - look.wallMs <= risesTogetherMs,
  ).length;
}

function isQuiet({ series, to }: MeasuredGrowth, { now }: CheckInput): boolean {
  if (now.wallMs - to.wallMs < quietMs) return false;
  const since = numberLooks(series.looks).filter((look) => compareMoments(look, to) >= 0);
  const watchedMs = since.reduce((sum, { seenForMs }) => sum + seenForMs, 0);
  return watchedMs >= quietWatchedMs;
}

/** "Bay 4 · 2J07: array read errors" for a member, "phy-3: …" and "port above: …" for an end. */
function labelOf({ metric, place }: SeriesHistory, { nameOf, kind }: CheckInput): string {
  const { label } = metricInfo(metric);
  if (place === '') return label;
  const name = kind === 'array' ? nameOf(place) : place;
  return `${name}: ${label}`;
}
