import type { Advice } from './burn-in-result.js';
import type { CheckResult, Finding, Outcome, Urgency } from './finding.js';
import { adviceWords, outcomeWords, urgencyWords } from './state-words.js';
import { formatValue } from './units.js';
import { driveWords } from './words/drive-words.js';
import { linkWords } from './words/link-words.js';
import { partWords } from './words/part-words.js';
import type { CodeWords, Told } from './words/told.js';

/** A finding in words. Each is one or two whole sentences; the title has no full stop. */
export interface FindingWords {
  readonly title: string;
  readonly sentence: string;
  readonly expectedSentence: string;
  readonly nextStep: string;
}

const words: Readonly<Record<string, CodeWords>> = {
  ...driveWords,
  ...linkWords,
  ...partWords,
};

const otherWords: CodeWords = {
  title: 'something is below what is expected',
  sentence: ({ measured, unit }) => `Measured: ${formatValue(measured, unit)}.`,
  expected: ({ expected, unit, source }) => `Expected: ${formatValue(expected, unit)} (${source}).`,
  nextStep: () => 'Look at the evidence rows of this finding.',
};

/**
 * A finding in words. `name` is how the part is called on the page, such as "Bay 3 · 0417"; its id
 * is used when none is given. Units and numbers are written out. Never throws.
 */
export function wordFinding(
  finding: Told & Pick<Finding, 'subject' | 'nextStep'>,
  name: string = finding.subject,
): FindingWords {
  const { title, sentence, expected } = wordsOf(finding.code);
  return {
    title: `${name}: ${title}`,
    sentence: sentence(finding),
    expectedSentence: expected(finding),
    nextStep: finding.nextStep === '' ? nextStepWords(finding) : finding.nextStep,
  };
}

/** The safe next step for a finding of this code. */
export function nextStepWords({
  code,
  measured,
  evidence = [],
  place = '',
}: Pick<Finding, 'code' | 'measured'> & Partial<Pick<Finding, 'evidence' | 'place'>>): string {
  return wordsOf(code).nextStep({ measured, evidence, place });
}

/** What a finding of this code says, without a part's name. */
export function codeTitle(code: string): string {
  return wordsOf(code).title;
}

/** The result of one check with its reason when nothing can be told. */
export function wordResult(result: Pick<CheckResult, 'outcome' | 'why'>): string {
  const outcome = wordOutcome(result.outcome);
  return result.outcome === 'unknown' && result.why !== undefined
    ? `${outcome}: ${result.why}`
    : outcome;
}

export function wordOutcome(outcome: Outcome): string {
  return outcomeWords[outcome];
}

export function wordUrgency(urgency: Urgency): string {
  return urgencyWords[urgency];
}

export function wordAdvice(advice: Advice): string {
  return adviceWords[advice];
}

function wordsOf(code: string): CodeWords {
  return Object.hasOwn(words, code) ? (words[code] ?? otherWords) : otherWords;
}
