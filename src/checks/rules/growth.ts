import type { SeriesHistory } from '../check.js';
import { compareMoments, type NumberLook, numberLooks } from '../history.js';
import { metricInfo, metricTitle } from '../metrics.js';
import { formatValue } from '../units.js';
import { type BaselineMoment, isLater } from './growth-baseline.js';

interface Span {
  readonly series: SeriesHistory;
  /** Where counting starts, and the look that first saw the newest value. */
  readonly from: NumberLook;
  readonly to: NumberLook;
  /** The largest value that is no fault: `from`, and for power losses one more per boot. */
  readonly allowed: number;
  readonly seenTwice: boolean;
}

/** How a damage figure moved since the baseline. */
export type Growth =
  | ({ readonly kind: 'grew' } & Span)
  | ({ readonly kind: 'steady' } & Span)
  | { readonly kind: 'backwards'; readonly why: string }
  | { readonly kind: 'no-numbers' };

/**
 * Growth of one figure between the baseline and its newest number, both finite. A counter that went
 * backwards was reset or replaced: only growth after that is told. An emergency head park per start
 * of the box is no fault: somebody may have pulled the plug.
 */
export function growthOf(
  series: SeriesHistory,
  { baseline, boot }: { readonly baseline: BaselineMoment | null; readonly boot: number },
): Growth {
  const numbers = sinceBaseline(series, baseline);
  const drop = metricInfo(series.metric).kind === 'counter' ? lastDrop(numbers) : 0;
  const counted = numbers.slice(drop);
  const [from, to] = [counted[0], counted.at(-1)];
  if (from === undefined || to === undefined) return { kind: 'no-numbers' };
  const grew = to.value > from.value;
  if (drop > 0 && !grew) return { kind: 'backwards', why: dropWords(series, numbers, drop) };
  if (counted.length < 2 && !to.seenTwice) return { kind: 'no-numbers' };
  const starts = series.metric === 'emergency-head-parks' ? Math.max(0, boot - from.boot) : 0;
  const allowed = from.value + starts;
  const above = counted.filter((look) => look.value > allowed);
  const span = {
    series,
    from,
    to: firstOfNewest(counted) ?? to,
    allowed,
    seenTwice: above.length > 1 || above.some((look) => look.seenTwice),
  };
  return { kind: to.value > allowed ? 'grew' : 'steady', ...span };
}

function sinceBaseline(
  series: SeriesHistory,
  baseline: BaselineMoment | null,
): readonly NumberLook[] {
  const looks = numberLooks(series.looks);
  const { first } = series;
  const early = looks[0];
  const isEarlier =
    first != null &&
    Number.isFinite(first.value) &&
    (early === undefined || compareMoments(first, early) < 0);
  const all = isEarlier ? [{ ...first, seenTwice: false, seenForMs: 0 }, ...looks] : looks;
  if (baseline === null) return all;
  const after = all.findIndex((look) => isLater(look, baseline));
  // The number that held at the baseline is the one before the first later look. When the looks
  // at hand begin after the baseline, the first number ever does not tell what held then.
  const fromStart = isEarlier && after === 1 ? 1 : Math.max(0, after - 1);
  return after < 0 ? all.slice(-1) : all.slice(fromStart);
}

/** Index of the last number that is smaller than the one before it; 0 when there is none. */
function lastDrop(numbers: readonly NumberLook[]): number {
  return Math.max(
    0,
    numbers.findLastIndex((look, index) => look.value < (numbers[index - 1]?.value ?? look.value)),
  );
}

/** Among equal newest values, the look that saw them first: when the growth happened. */
function firstOfNewest(numbers: readonly NumberLook[]): NumberLook | undefined {
  const newest = numbers.at(-1);
  const different = numbers.findLastIndex((look) => look.value !== newest?.value);
  return numbers[different + 1];
}

function dropWords(series: SeriesHistory, numbers: readonly NumberLook[], drop: number): string {
  const before = formatValue(numbers[drop - 1]?.value ?? null, series.unit);
  const after = formatValue(numbers[drop]?.value ?? null, series.unit);
  return `${metricTitle(series.metric)} went backwards from ${before} to ${after}: the record was reset or the drive is another one`;
}
