import type { Moment } from './check.js';
import type { CheckResult, Finding, FindingChange } from './finding.js';
import { findingCode } from './finding-codes.js';
import { mergeShared } from './judge-shared.js';
import { nextStepWords } from './wording.js';

export interface JudgeInput {
  /** Results of one look, of all parts that were looked at. */
  readonly results: readonly CheckResult[];
  /** Findings that are open now. */
  readonly open: readonly Finding[];
  readonly at: Moment;
}

/**
 * Decides which findings open, hold with new figures, or clear. A finding is opened by a confirmed
 * `short` result and cleared by a confirmed `met` one, by being accounted for where its code allows
 * that, or by being told under a shared part. `unknown`, provisional and missing results change
 * nothing: silence is no proof of health. One finding per code, subject and place, and one for
 * several drives failing alike behind one controller. The same input gives the same changes.
 */
export function judge({ results, open, at }: JudgeInput): readonly FindingChange[] {
  const merged = mergeShared(results, open);
  const accounted = open.filter(isAccountedFor);
  const changes: FindingChange[] = accounted.map((finding) => cleared(finding, at));
  const done = new Set(accounted.map(keyOf));
  for (const finding of merged.toldElsewhere) {
    if (done.has(keyOf(finding))) continue;
    done.add(keyOf(finding));
    changes.push(cleared(finding, at));
  }
  for (const result of worstPerKey(merged.results)) {
    if (done.has(keyOf(result)) || result.provisional === true) continue;
    const finding = open.find((one) => keyOf(one) === keyOf(result)) ?? null;
    const change = changeFor(result, finding, at);
    if (change !== null) changes.push(change);
  }
  return changes;
}

function changeFor(result: CheckResult, finding: Finding | null, at: Moment): FindingChange | null {
  if (result.outcome === 'unknown') return null;
  if (result.outcome === 'met') return finding === null ? null : cleared(finding, at);
  if (finding === null) return { kind: 'open', finding: opened(result, at) };
  const held = { ...finding, ...figuresOf(result) };
  return sameFigures(finding, held) ? null : { kind: 'hold', finding: held };
}

function figuresOf(result: CheckResult) {
  const { urgency, measured, expected, unit, source, evidence } = result;
  const nextStep = nextStepWords(result);
  return { urgency, measured, expected, unit, source, evidence, nextStep };
}

function opened(result: CheckResult, at: Moment): FindingChange['finding'] {
  return {
    code: result.code,
    subject: result.subject,
    place: result.place ?? '',
    state: 'open',
    ...figuresOf(result),
    openedBoot: at.boot,
    openedMonoMs: at.monoMs,
    openedWallMs: at.wallMs,
    clearedBoot: null,
    clearedWallMs: null,
    acknowledged: false,
  };
}

function cleared(finding: Finding, at: Moment): FindingChange {
  return {
    kind: 'clear',
    finding: { ...finding, state: 'cleared', clearedBoot: at.boot, clearedWallMs: at.wallMs },
  };
}

function isAccountedFor(finding: Finding): boolean {
  return finding.acknowledged && findingCode(finding.code)?.clearedByAccounting === true;
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
