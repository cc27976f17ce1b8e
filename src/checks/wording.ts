import type { Advice } from './burn-in-result.js';
import type { CheckResult, Finding, Outcome, Urgency } from './finding.js';
import { adviceWords, outcomeWords, urgencyWords } from './state-words.js';
import { formatValue } from './units.js';

/** A finding in words. Each is one or two whole sentences; the title has no full stop. */
export interface FindingWords {
  readonly title: string;
  readonly sentence: string;
  readonly expectedSentence: string;
  readonly nextStep: string;
}

type Told = Pick<Finding, 'code' | 'measured' | 'expected' | 'unit' | 'source' | 'evidence'>;

interface CodeWords {
  readonly title: string;
  readonly sentence: (told: Told) => string;
  readonly expected: (told: Told) => string;
  readonly nextStep: (measured: number | null) => string;
}

const copyFirst =
  'Copy off first what cannot be replaced, if this drive may hold the only copy; put no test on it before that';

/** Bits of the NVMe critical warning (NVMe 1.4 figure 93, from memory). */
const warningBits: readonly (readonly [number, string])[] = [
  [1, 'its spare is nearly used up'],
  [2, 'its temperature is beyond its limits'],
  [4, 'it is no longer reliable'],
  [8, 'it only lets itself be read'],
  [16, 'its power-loss protection has failed'],
];

const since = ({ expected, unit, source }: Told) =>
  `Expected: at most ${formatValue(expected, unit)} (${source}).`;

const words: Readonly<Record<string, CodeWords>> = {
  'drive-says-failing': {
    title: 'the drive says that it is failing',
    sentence: () => 'The drive’s own verdict is that it is failing or will fail soon.',
    expected: () => 'Expected: the drive’s own verdict is that it is not failing.',
    nextStep: () =>
      `${copyFirst}. Then replace the drive; a failing verdict is a reason for return or warranty.`,
  },
  'drive-warns': {
    title: 'the drive raises a warning',
    sentence: ({ measured }) => `The drive warns that ${warningWords(measured)}.`,
    expected: () => 'Expected: no warning.',
    nextStep: (measured) =>
      measured === 2
        ? 'Let air reach the drive and look whether its fan turns; look again after an hour.'
        : `${copyFirst}. Then plan its replacement.`,
  },
  'self-test-failed': {
    title: 'the last self-test failed',
    sentence: () => 'The drive’s last self-test ended with a failure.',
    expected: () => 'Expected: the last self-test ends without a failure.',
    nextStep: () =>
      `${copyFirst}. Then replace the drive, or return it while you may; keep the evidence sheet.`,
  },
  'surface-damage-grew': {
    title: 'surface damage grew',
    sentence: ({ measured, evidence }) =>
      `The drive has more damaged places than when it was first seen here: ${grownWords(evidence, measured)}.`,
    expected: since,
    nextStep: () =>
      `${copyFirst}. Then watch whether it grows on; growing damage is a reason for return or replacement.`,
  },
  'cable-errors-grew': {
    title: 'transfers were damaged on the data cable',
    sentence: ({ measured, evidence }) =>
      `Data was damaged between drive and port and sent again: ${grownWords(evidence, measured)}. The cable, its plugs or the port are meant, not the drive’s surface.`,
    expected: since,
    nextStep: () =>
      'With the box switched off, reseat the data cable at both ends; if it grows again, use another cable, then another port. Account for this finding when done.',
  },
  'power-was-lost': {
    title: 'the drive lost power while the box was on',
    sentence: ({ measured, evidence }) =>
      `The drive had to park its heads in an emergency more often than the box was started: ${grownWords(evidence, measured)}.`,
    expected: ({ expected, unit }) =>
      `Expected: at most ${formatValue(expected, unit)}, one per start of the box.`,
    nextStep: () =>
      'With the box switched off and unplugged, look at the power lead of this drive and its plugs, above all splitters and moulded ones; feed fewer drives per lead. Account for this finding when done.',
  },
  'answers-late': {
    title: 'commands were overdue',
    sentence: ({ measured, evidence }) =>
      `The drive did not answer commands in time: ${grownWords(evidence, measured)}.`,
    expected: since,
    nextStep: () =>
      `${copyFirst}. Then check its power lead and data cable with the box switched off, and look whether it grows on.`,
  },
  'too-warm': {
    title: 'the drive is too warm',
    sentence: ({ measured, unit, evidence }) =>
      `The drive is at ${formatValue(measured, unit)}${limitWords(evidence, unit)}.`,
    expected: ({ expected, unit }) =>
      `Expected: below ${formatValue(expected, unit)}, which is 5 degrees under its own limit.`,
    nextStep: () =>
      'Stop long work on this drive, look whether its fan turns and air can pass, and let it cool before going on.',
  },
  'drive-slow': {
    title: 'the drive reads slower than it should',
    sentence: ({ measured, unit, evidence }) =>
      `In two runs running the drive read at ${formatValue(measured, unit)}${placeWords(evidence)}.`,
    expected: ({ expected, unit, source }) =>
      `Expected: at least ${formatValue(expected, unit)} (${source}).`,
    nextStep: () =>
      'Look at the other findings of this drive and its link first. Then measure once more while nothing else uses it; if one place stays slow, its surface may be weak there.',
  },
  'disk-link-slower': {
    title: 'the disk link runs slower than it could',
    sentence: ({ measured, unit }) =>
      `The link to the drive runs at ${formatValue(measured, unit)}.`,
    expected: ({ expected, unit }) =>
      `Expected: ${formatValue(expected, unit)}, which both ends can do.`,
    nextStep: () =>
      'With the box switched off, reseat the data cable at both ends, then try another cable or port. Transfers are safe but slower.',
  },
  'pci-link-narrow': {
    title: 'fewer lanes are connected than could be',
    sentence: ({ measured, unit }) => `The card runs with ${formatValue(measured, unit)}.`,
    expected: ({ expected, unit }) =>
      `Expected: ${formatValue(expected, unit)}, which card and slot both have.`,
    nextStep: () =>
      'With the box switched off and unplugged, take the card out, clean its contacts, seat it again; then try another slot and see whether the fault goes with the card.',
  },
  'pci-link-slower': {
    title: 'the card’s link runs slower than it could',
    sentence: ({ measured, unit }) =>
      `The card’s link was never seen faster than ${formatValue(measured, unit)} in this boot.`,
    expected: ({ expected, unit }) =>
      `Expected: ${formatValue(expected, unit)}, which card and slot both can do.`,
    nextStep: () =>
      'Look again while the card works: some lower their link at rest. If it stays, reseat the card with the box switched off.',
  },
  'controller-link-errors': {
    title: 'several drives of one controller have link errors',
    sentence: ({ measured, unit }) =>
      `${formatValue(measured, unit)} drives of this controller had link errors at about the same time. What they share is meant, not each drive.`,
    expected: () => 'Expected: no drive of this controller has link errors.',
    nextStep: () =>
      'With the box switched off, look at what these drives share: the controller’s seat and cooling, a breakout cable, a backplane, a power lead. Account for this finding when done.',
  },
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
export function nextStepWords({ code, measured }: Pick<Finding, 'code' | 'measured'>): string {
  return wordsOf(code).nextStep(measured);
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

function warningWords(measured: number | null): string {
  const bits = measured !== null && Number.isInteger(measured) && measured > 0 ? measured : 0;
  const known = warningBits.filter(([bit]) => Math.floor(bits / bit) % 2 === 1);
  if (known.length === 0) return 'something is wrong (a warning that is not known here)';
  return known.map(([, text]) => text).join(', and ');
}

/** "Pending sectors (197) from 0 to 8": pairs of evidence rows, first and now. */
function grownWords(evidence: Told['evidence'], measured: number | null): string {
  const pairs = evidence.flatMap((row, index) => {
    const next = evidence[index + 1];
    if (!row.label.endsWith(', first') || next === undefined) return [];
    const title = row.label.slice(0, -', first'.length);
    const [from, to] = [formatValue(row.value, row.unit), formatValue(next.value, next.unit)];
    return [`${title} from ${from} to ${to}`];
  });
  return pairs.length > 0 ? pairs.join('; ') : `now ${formatValue(measured, 'count')}`;
}

function limitWords(evidence: Told['evidence'], unit: Told['unit']): string {
  const limit = evidence.find((row) => row.label === 'The drive’s own limit');
  return limit === undefined ? '' : `, its own limit is ${formatValue(limit.value, unit)}`;
}

function placeWords(evidence: Told['evidence']): string {
  const places = evidence.filter((row) => row.label.endsWith(', newest run')).length;
  return places > 1
    ? ` at the slowest of ${places} places below what is expected`
    : ' at one place';
}
