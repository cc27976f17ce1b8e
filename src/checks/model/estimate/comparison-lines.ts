import type { EstimateComparison, FigureChange } from './compare-estimates.js';
import { figureWords } from './figure-words.js';
import { section } from './section.js';

export interface ComparedNames {
  readonly first: string;
  readonly second: string;
  /** Currency of money figures; null where the two differ or tell none. */
  readonly currency: string | null;
}

const judgedWords = { better: 'better', worse: 'worse', same: 'the same' } as const;

/** Two builds side by side for a terminal: what changes first, then what stays. */
export function comparisonLines(
  found: EstimateComparison,
  names: ComparedNames,
): readonly string[] {
  const changed = found.figures.filter(({ judged }) => judged !== 'same');
  const same = found.figures.filter(({ judged }) => judged === 'same');
  return [
    `First: ${names.first}`,
    `Second: ${names.second}`,
    ...section('What changes', [
      ...changed.map((one) => figureLine(one, names)),
      ...found.words.map(
        ({ words, first, second }) =>
          `${words}: first ${first ?? 'not there'}; second ${second ?? 'not there'}`,
      ),
    ]),
    ...section(
      'What stays',
      same.map(({ words, unit, first }) => `${words} ${figureWords(first, unit, names.currency)}`),
    ),
    ...section('No longer to mind in the second', found.warningsGone),
    ...section('New to mind in the second', found.warningsNew),
  ];
}

function figureLine(
  { words, unit, first, second, judged }: FigureChange,
  { currency }: ComparedNames,
): string {
  const judgement = judged === null ? '' : ` (${judgedWords[judged]})`;
  const [one, other] = [first, second].map((value) => figureWords(value, unit, currency));
  return `${words}: first ${one}, second ${other}${judgement}`;
}
