import type { RunningWork } from './request.js';

/** What an array is doing, as far as it matters for switching off. */
export interface ArrayActivity {
  /** As it is called on pages, "Array “tapes”, mirror", to begin a sentence with. */
  readonly name: string;
  readonly doing: 'nothing' | 'checking' | 'rebuilding' | 'reshaping';
  /** Members that may still fail before data is lost; 0 means the next failure loses data. */
  readonly mayStillFail: number;
  readonly secondsLeft: number | null;
}

/** A self-test that a drive runs by itself; switching off makes it start again from nothing. */
export interface DriveSelfTest {
  readonly drive: string;
  readonly percentLeft: number;
}

export interface SwitchOffFacts {
  /** Null when the agent does not answer: then nothing is known about now. */
  readonly running: readonly RunningWork[] | null;
  /** Null when array states are not read. */
  readonly arrays: readonly ArrayActivity[] | null;
  readonly selfTests: readonly DriveSelfTest[];
  readonly nowMs: number;
}

/** `yes` and `no-until` speak of a proper shutdown; `no-danger` of any loss of power. */
export interface SwitchOffAnswer {
  readonly answer: 'yes' | 'no-until' | 'no-danger' | 'cannot-tell';
  /** The answer in a few words, capital first. */
  readonly words: string;
  readonly reasons: readonly string[];
  /** Calendar time in milliseconds from which the answer is expected to be yes, when known. */
  readonly untilMs: number | null;
  /** What the answer does not cover. */
  readonly caveats: readonly string[];
}

const caveatOfUnknownArrays =
  'Whether an array is rebuilding or being checked is not known. A proper shutdown lets Linux go on with it afterwards; pulling the plug may not';

/**
 * Answers "Safe to switch off?" from what runs now. Danger wins over waiting, waiting over yes;
 * without an answering agent nothing is claimed. `untilMs` is the latest of the known ends, or
 * null when one end is not known. Pure; never throws. The answers follow from how the work resumes:
 * a burn-in from its journal, an array rebuild from the kernel's position, a drive's own self-test
 * not at all (ACS-4 SMART EXECUTE OFF-LINE IMMEDIATE, from memory).
 */
export function safeToSwitchOff(facts: SwitchOffFacts): SwitchOffAnswer {
  const caveats = facts.arrays === null ? [caveatOfUnknownArrays] : [];
  const danger = (facts.arrays ?? []).filter(isDanger);
  if (danger.length > 0) {
    return {
      answer: 'no-danger',
      words: 'No. Losing power now could cost data',
      reasons: danger.map(dangerReason),
      untilMs: untilOf(danger, facts.nowMs),
      caveats,
    };
  }
  if (facts.running === null) {
    return {
      answer: 'cannot-tell',
      words: 'Cannot tell',
      reasons: ['The agent does not answer, so nobody knows what is running now'],
      untilMs: null,
      caveats,
    };
  }
  return answerForWork(facts, facts.running, caveats);
}

function answerForWork(
  facts: SwitchOffFacts,
  running: readonly RunningWork[],
  caveats: readonly string[],
): SwitchOffAnswer {
  const work = running.filter((one) => one.state === 'running');
  const arrays = (facts.arrays ?? []).filter((array) => array.doing !== 'nothing');
  const reasons = [
    ...work.map(workReason),
    ...arrays.map(arrayReason),
    ...facts.selfTests.map(selfTestReason),
  ];
  if (reasons.length === 0) {
    const paused = running.filter((one) => one.state === 'paused').map(pausedReason);
    const idle = ['Nothing of Bayward is running'];
    return {
      answer: 'yes',
      words: 'Yes',
      reasons: paused.length > 0 ? paused : idle,
      untilMs: null,
      caveats,
    };
  }
  const untilMs = facts.selfTests.length > 0 ? null : untilOf([...work, ...arrays], facts.nowMs);
  return { answer: 'no-until', words: 'Better not yet', reasons, untilMs, caveats };
}

function isDanger(array: ArrayActivity): boolean {
  const rewriting = array.doing === 'rebuilding' || array.doing === 'reshaping';
  return rewriting && array.mayStillFail === 0;
}

const doingWords: Readonly<Record<ArrayActivity['doing'], string>> = {
  nothing: 'at rest',
  checking: 'being checked',
  rebuilding: 'rebuilding',
  reshaping: 'being reshaped',
};

/** The kernel keeps the position of a rebuilding over boots, that of a check not. */
function arrayReason({ name, doing }: ArrayActivity): string {
  const after =
    doing === 'checking'
      ? 'switched off, that is broken off and has to be started anew'
      : 'it goes on after the next start';
  return `${name} is ${doingWords[doing]}; ${after}`;
}

function dangerReason(array: ArrayActivity): string {
  return `${array.name} is ${doingWords[array.doing]} and no further drive may fail: a power cut now could cost data`;
}

function workReason(work: RunningWork): string {
  if (work.kind === 'speed') {
    return `A speed measurement reads drive ${work.drive}; stopping it loses only that measurement`;
  }
  const after = 'it goes on where it was after the next start, nothing is lost but time';
  return `A burn-in runs on drive ${work.drive}; ${after}`;
}

function pausedReason(work: RunningWork): string {
  return `The burn-in of drive ${work.drive} is paused; it keeps its place`;
}

function selfTestReason(test: DriveSelfTest): string {
  const left = `${test.percentLeft} percent left`;
  return `Drive ${test.drive} runs its own self-test (${left}); it would have to start again`;
}

function untilOf(ends: readonly { secondsLeft: number | null }[], nowMs: number): number | null {
  let latest = nowMs;
  for (const { secondsLeft } of ends) {
    if (secondsLeft === null || !Number.isFinite(secondsLeft)) return null;
    latest = Math.max(latest, nowMs + secondsLeft * 1000);
  }
  return latest;
}
