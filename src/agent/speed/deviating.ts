import type { PlaceResult } from './measure-places.js';

/** What is expected at a place; null when nothing is known about it. */
export type ExpectationAt = (
  place: number,
) => { readonly low: number; readonly high: number } | null;

export type SpeedVerdict = 'met' | 'short' | 'unknown';

/** A place this far from the middle of its neighbours is measured again (common practice). */
const deviationShare = 0.15;

/** `met` only by a comparison that was true on finite numbers. Pure. */
export function verdictOf(result: PlaceResult, expectedAt: ExpectationAt): SpeedVerdict {
  const rate = result.bytesPerSecond;
  if (rate === null || !Number.isFinite(rate) || result.place === undefined) return 'unknown';
  if ((result.conditions.otherLoad ?? 0) > 0) return 'unknown';
  const expected = expectedAt(result.place);
  if (expected === null || !Number.isFinite(expected.low)) return 'unknown';
  return rate >= expected.low ? 'met' : 'short';
}

/** Places whose first figure is short, missing, or apart from both neighbours. Pure. */
export function deviatingPlaces(
  results: readonly PlaceResult[],
  expectedAt: ExpectationAt,
): readonly number[] {
  const rates = results.map(({ bytesPerSecond }) => bytesPerSecond);
  return results
    .filter((result, index) => {
      if (result.bytesPerSecond === null) return true;
      if (verdictOf(result, expectedAt) === 'short') return true;
      return isApart(result.bytesPerSecond, [rates[index - 1], rates[index + 1]]);
    })
    .flatMap(({ place }) => (place === undefined ? [] : [place]));
}

function isApart(rate: number, neighbours: readonly (number | null | undefined)[]): boolean {
  const known = neighbours.filter((one): one is number => typeof one === 'number');
  if (known.length < 2) return false;
  const middle = known.reduce((sum, one) => sum + one, 0) / known.length;
  return Math.abs(rate - middle) > deviationShare * middle;
}

/** The middle one of several measurements of a place by rate; those without a figure count last. */
export function middleOf(results: readonly PlaceResult[]): PlaceResult | null {
  const withFigure = results
    .filter(({ bytesPerSecond }) => bytesPerSecond !== null)
    .sort((one, other) => (one.bytesPerSecond ?? 0) - (other.bytesPerSecond ?? 0));
  return withFigure[Math.floor((withFigure.length - 1) / 2)] ?? results[0] ?? null;
}
