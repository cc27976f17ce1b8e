import { figureWords } from './figure-words.js';
import { type KeyFigure, keyFigures } from './key-figures.js';
import type { Estimate } from './types.js';

/** One figure of two builds side by side. */
export interface FigureChange {
  readonly key: string;
  readonly words: string;
  readonly unit: KeyFigure['unit'];
  /** Null when that build lacks the part or does not tell enough. */
  readonly first: number | null;
  readonly second: number | null;
  /** Whether the second build is better; null where neither is or a figure is missing. */
  readonly judged: 'better' | 'worse' | 'same' | null;
}

/** A word that differs: the limiting part of a path, a layout, the risk while rebuilding. */
export interface WordChange {
  readonly key: string;
  readonly words: string;
  readonly first: string | null;
  readonly second: string | null;
}

export interface EstimateComparison {
  readonly figures: readonly FigureChange[];
  readonly words: readonly WordChange[];
  readonly warningsGone: readonly string[];
  readonly warningsNew: readonly string[];
}

/**
 * Two estimates side by side: every key figure that either has, in the order of the first, and what
 * differs in words. Figures that read the same are listed too and judged `same`. Pure.
 */
export function compareEstimates(first: Estimate, second: Estimate): EstimateComparison {
  const warned = (one: Estimate) => one.warnings.map(({ text }) => text);
  const without = (texts: readonly string[], others: readonly string[]) =>
    texts.filter((text) => !others.includes(text));
  return {
    figures: figureChanges(keyFigures(first), keyFigures(second)),
    words: wordChanges(wordsOf(first), wordsOf(second)),
    warningsGone: without(warned(first), warned(second)),
    warningsNew: without(warned(second), warned(first)),
  };
}

function figureChanges(
  first: readonly KeyFigure[],
  second: readonly KeyFigure[],
): readonly FigureChange[] {
  const keys = [...new Set([...first, ...second].map(({ key }) => key))];
  return keys.flatMap((key) => {
    const [one, other] = [first, second].map((list) => list.find((each) => each.key === key));
    const told = one ?? other;
    if (told === undefined) return [];
    const { words, unit, better } = told;
    const values = { first: one?.value ?? null, second: other?.value ?? null };
    return [{ key, words, unit, ...values, judged: judge(values, { better, unit }) }];
  });
}

function judge(
  { first, second }: Pick<FigureChange, 'first' | 'second'>,
  { better, unit }: Pick<KeyFigure, 'better' | 'unit'>,
): FigureChange['judged'] {
  if (first === null || second === null) return null;
  if (figureWords(first, unit) === figureWords(second, unit)) return 'same';
  if (better === null) return null;
  return second > first === (better === 'more') ? 'better' : 'worse';
}

type Told = Omit<WordChange, 'first' | 'second'> & { readonly text: string };

function wordsOf(found: Estimate): readonly Told[] {
  return [
    ...found.arrays.flatMap(({ name, title, risk, rebuild }) => [
      { key: `array:${name} title`, words: `${name} is`, text: title },
      {
        key: `array:${name} risk`,
        words: `risk while a member of ${name} is replaced`,
        text: risk.level,
      },
      ...(rebuild === null
        ? []
        : [
            {
              key: `array:${name} rebuild limit`,
              words: `a rebuild of ${name} is held by`,
              text: `${rebuild.limit.part} (${rebuild.limit.why})`,
            },
          ]),
    ]),
    ...found.paths
      .filter(({ path, direction, streams }) => {
        const shown = path.startsWith('array:') || path.startsWith('client:');
        return shown && direction === 'read' && streams === 'one';
      })
      .map(({ path, limit }) => ({
        key: `${path} limit`,
        words: `reading ${path.slice(path.indexOf(':') + 1)} is held by`,
        text: limit?.part ?? 'nothing that is told',
      })),
  ];
}

function wordChanges(first: readonly Told[], second: readonly Told[]): readonly WordChange[] {
  const keys = [...new Set([...first, ...second].map(({ key }) => key))];
  return keys.flatMap((key) => {
    const [one, other] = [first, second].map((list) => list.find((each) => each.key === key));
    const words = (one ?? other)?.words ?? key;
    if (one?.text === other?.text) return [];
    return [{ key, words, first: one?.text ?? null, second: other?.text ?? null }];
  });
}
