import type { SeriesHistory } from '../check.js';
import type { CheckResult } from '../finding.js';
import { type NumberLook, numberLook } from '../history.js';

/**
 * The outcome by the newest look of a figure, provisional until two looks of one boot agree. Looks
 * without a number never agree with anything. Pure.
 */
export function agreed(
  { looks }: SeriesHistory,
  isShort: (value: number) => boolean,
): Pick<CheckResult, 'outcome' | 'provisional'> {
  const [before, last] = [numberLook(looks.at(-2)), numberLook(looks.at(-1))];
  const short = last !== null && isShort(last.value);
  const outcome = short ? 'short' : 'met';
  return last !== null && (last.seenTwice || same(before, last, isShort))
    ? { outcome }
    : { outcome, provisional: true };
}

function same(
  before: NumberLook | null,
  last: NumberLook,
  isShort: (value: number) => boolean,
): boolean {
  return (
    before !== null && before.boot === last.boot && isShort(before.value) === isShort(last.value)
  );
}
