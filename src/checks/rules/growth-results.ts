import type { SeriesHistory } from '../check.js';
import type { CheckResult, Evidence, Urgency } from '../finding.js';
import { compareMoments, evidenceOf } from '../history.js';
import type { Growth } from './growth.js';

/** Growth between two numbers of one figure. */
export type MeasuredGrowth = Extract<Growth, { readonly from: unknown }>;

export type AboutGrowth = Pick<CheckResult, 'code' | 'subject' | 'unit' | 'source'>;

export interface GrowthWords {
  /** How a figure is called in the evidence. */
  readonly label: (series: SeriesHistory) => string;
  readonly urgency: (growth: MeasuredGrowth) => Urgency;
}

/**
 * One `short` result for all figures that grew: the most urgent one leads with its figures, the
 * newest growth is last in the evidence. Provisional until two looks saw a higher value.
 */
export function grownResult(
  about: AboutGrowth,
  grown: readonly MeasuredGrowth[],
  { label, urgency }: GrowthWords,
): CheckResult {
  const leading = grown.find((one) => urgency(one) === 'today') ?? grown[0];
  const newestLast = [...grown].sort((one, other) => compareMoments(one.to, other.to));
  const urgencies = grown.map(urgency);
  const soonest = (['today', 'soon'] as const).find((one) => urgencies.includes(one));
  return {
    ...about,
    unit: leading?.series.unit ?? about.unit,
    outcome: 'short',
    urgency: soonest ?? 'for-the-record',
    measured: leading?.to.value ?? null,
    expected: leading?.allowed ?? null,
    evidence: newestLast.flatMap((one) => growthEvidence(one, label)),
    ...(grown.some((one) => one.seenTwice) ? {} : { provisional: true as const }),
  };
}

/** The `met` result of a figure that did not grow, or whose growth has stopped for long. */
export function steadyResult(
  about: AboutGrowth,
  growth: MeasuredGrowth,
  label: GrowthWords['label'],
): CheckResult {
  const { kind, series, to, allowed } = growth;
  return {
    ...about,
    unit: series.unit,
    outcome: 'met',
    urgency: 'for-the-record',
    measured: to.value,
    expected: kind === 'grew' ? to.value : allowed,
    evidence: growthEvidence(growth, label),
  };
}

function growthEvidence(
  { series, from, to }: MeasuredGrowth,
  label: GrowthWords['label'],
): readonly Evidence[] {
  const title = label(series);
  return [
    evidenceOf(`${title}, first`, from, series.unit),
    evidenceOf(`${title}, now`, to, series.unit),
  ];
}
