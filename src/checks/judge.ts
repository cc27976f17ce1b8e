import type { Moment } from './check.js';
import type { CheckResult, ClearedWhy, Finding, FindingChange } from './finding.js';
import { findingCode } from './finding-codes.js';
import { mergeShared } from './judge-shared.js';
import { tellOnce } from './one-cause.js';
import { nextStepWords } from './wording.js';

export interface JudgeInput {
  /** Results of one look, of all parts that were looked at. */
  readonly results: readonly CheckResult[];
  /** Findings that are open now. */
  readonly open: readonly Finding[];
  /** Findings that were cleared, oldest first. */
  readonly past?: readonly Finding[];
  /** Ids of parts that count as taken out of the box. */
  readonly takenOut?: ReadonlySet<string>;
  /** A sentence that tells where a subject is found, or null. */
  readonly whereOf?: (subject: string) => string | null;
  readonly at: Moment;
}

/**
 * Decides which findings open, hold with new figures, or clear. A finding is opened by a confirmed
 * `short` result and cleared by a confirmed `met` one, by being accounted for where its code allows
 * that, by being told under another part, or when its part was taken out. `unknown`, provisional
 * and missing results change nothing: silence is no proof of health. One finding per code, subject
 * and place, and one for several drives failing alike behind one part. The same input gives the
 * same changes.
 */
export function judge(input: JudgeInput): readonly FindingChange[] {
  const { open, at } = input;
  const merged = tellOnce(mergeShared(input.results, open), open);
  const ended: readonly (readonly [Finding, ClearedWhy])[] = [
    ...open.filter(isAccountedFor).map((one) => [one, 'accounted-for'] as const),
    ...merged.toldElsewhere.map((one) => [one, 'told-elsewhere'] as const),
    ...open.filter((one) => isOfTakenOut(one, input)).map((one) => [one, 'taken-out'] as const),
  ];
  const done = new Map<string, FindingChange>();
  for (const [finding, why] of ended) {
    if (!done.has(keyOf(finding))) done.set(keyOf(finding), cleared(finding, at, why));
  }
  const changes = [...done.values()];
  for (const result of worstPerKey(merged.results)) {
    if (done.has(keyOf(result)) || result.provisional === true) continue;
    const change = changeFor(result, input);
    if (change !== null) changes.push(change);
  }
  return changes;
}

/** Codes about where a drive is and when: they hold while it is away. */
const toldOfGone = ['drive-missing', 'absent-after-power-on', 'absent-after-restart'];

/** A part that was taken out has no state any more; only that it is missing may still be told. */
function isOfTakenOut({ code, subject }: Finding, { takenOut, results }: JudgeInput): boolean {
  if (takenOut?.has(subject) !== true) return false;
  const isTold = results.some((one) => one.code === code && one.subject === subject);
  return !toldOfGone.includes(code) || !isTold;
}

function changeFor(result: CheckResult, input: JudgeInput): FindingChange | null {
  if (result.outcome === 'unknown') return null;
  const { open, at } = input;
  const finding = open.find((one) => keyOf(one) === keyOf(result)) ?? null;
  if (result.outcome === 'met') {
    return finding === null ? null : cleared(finding, at, 'as-expected');
  }
  const figures = figuresOf(result, input);
  if (finding === null) {
    const again = { ...opened(result, figures, at), acknowledged: wasSeen(result, input) };
    return { kind: 'open', finding: again };
  }
  const held = { ...finding, ...figures };
  return sameFigures(finding, held) ? null : { kind: 'hold', finding: held };
}

/** What a person had seen of a drive before it was taken out is seen when it returns with it. */
function wasSeen(result: CheckResult, { past = [] }: JudgeInput): boolean {
  const last = past.findLast((one) => keyOf(one) === keyOf(result));
  return last?.clearedWhy === 'taken-out' && last.acknowledged;
}

function figuresOf(result: CheckResult, { whereOf }: JudgeInput) {
  const { urgency, measured, expected, unit, source, evidence } = result;
  const where = whereOf?.(result.subject) ?? null;
  const nextStep = [nextStepWords(result), where].filter((one) => one !== null).join(' ');
  return { urgency, measured, expected, unit, source, evidence, nextStep };
}

function opened(
  result: CheckResult,
  figures: ReturnType<typeof figuresOf>,
  at: Moment,
): FindingChange['finding'] {
  return {
    code: result.code,
    subject: result.subject,
    place: result.place ?? '',
    state: 'open',
    ...figures,
    openedBoot: at.boot,
    openedMonoMs: at.monoMs,
    openedWallMs: at.wallMs,
    clearedBoot: null,
    clearedWallMs: null,
    clearedWhy: null,
    acknowledged: false,
    accountedFor: false,
  };
}

function cleared(
  finding: Finding,
  { boot, wallMs }: Moment,
  clearedWhy: ClearedWhy,
): FindingChange {
  const ended = { clearedBoot: boot, clearedWallMs: wallMs, clearedWhy };
  return { kind: 'clear', finding: { ...finding, state: 'cleared', ...ended } };
}

function isAccountedFor(finding: Finding): boolean {
  return finding.accountedFor && findingCode(finding.code)?.clearedByAccounting === true;
}

function keyOf({ code, subject, place }: Pick<CheckResult, 'code' | 'subject' | 'place'>): string {
  return JSON.stringify([code, subject, place ?? '']);
}

const weight = { short: 2, unknown: 1, met: 0 } as const;

/** One result per finding: of several the worst counts, so that none hides another. */
function worstPerKey(results: readonly CheckResult[]): readonly CheckResult[] {
  const worst = new Map<string, CheckResult>();
  for (const result of results) {
    const before = worst.get(keyOf(result));
    if (before === undefined || weight[result.outcome] > weight[before.outcome]) {
      worst.set(keyOf(result), result);
    }
  }
  return [...worst.values()];
}

function sameFigures(one: Finding, other: Finding): boolean {
  const figures = (finding: Finding) =>
    JSON.stringify([
      finding.urgency,
      finding.measured,
      finding.expected,
      finding.source,
      finding.evidence,
      finding.nextStep,
    ]);
  return figures(one) === figures(other);
}
