import { arrayWorks } from '../../checks/array-state.js';
import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';
import { formatDuration, formatNumber, momentWords } from '../../checks/units.js';

/** A kept figure of an array: the newest of its series. */
export interface KeptOfArray {
  readonly metric: string;
  readonly place: string;
  readonly value: number | null;
  readonly text: string;
  readonly boot: number;
  readonly lastMonoMs: number;
}

export interface LookNow {
  readonly boot: number;
  readonly monoMs: number;
  readonly wallMs: number;
}

/** Looks further apart than this do not tell what went on between them; our choice. */
const lookGapMaxMs = 15 * 60_000;

/** A check may go on up to twice as fast as at the last look, and a look takes its time. */
const fasterMax = 2;
const slackSeconds = 60;

const lastCheck: Figure = {
  metric: 'array-last-check',
  unit: 'unix-seconds',
  source: 'Looks at the kernel file sync_action, from the start of a check to its end',
};
const began: Figure = { ...lastCheck, metric: 'array-check-began' };

/**
 * When a whole comparison of the copies was last seen. The kernel keeps no date of it, so it is
 * known only where looks at the array saw it begin near its start, go on, and end near its end, in
 * one boot. Moments are unix seconds of the box's calendar. Rules of our own. Pure.
 */
export function checkSeen(
  readings: readonly Reading[],
  kept: readonly KeptOfArray[],
  now: LookNow,
): readonly Reading[] {
  const look = lookOf(readings);
  if (look.protection === 0) {
    return [absent(lastCheck, 'no-figure', 'It keeps no second copy that could be compared')];
  }
  const before = beforeOf(kept, now);
  const beganNow = beganReading(look, before, now);
  const ended =
    look.isChecking === false && before.isChecking ? endOf(before, { now, look }) : null;
  return [ended ?? keptCheck(kept, now), ...(beganNow === null ? [] : [beganNow])];
}

interface Look {
  readonly protection: number | null;
  /** Null where the kernel does not tell what it does. */
  readonly isChecking: boolean | null;
  readonly donePercent: number | null;
  readonly secondsLeft: number | null;
  readonly mismatches: number | null;
}

function lookOf(readings: readonly Reading[]): Look {
  const value = (metric: string) =>
    readings.find((one) => one.metric === metric && one.place === undefined)?.value ?? null;
  const work = value('array-work');
  return {
    protection: value('array-protection'),
    isChecking: work === null ? null : isCheck(work),
    donePercent: value('array-work-done'),
    secondsLeft: value('array-work-left'),
    mismatches: value('array-mismatches'),
  };
}

function isCheck(code: number): boolean {
  const word = arrayWorks.find((one) => one.code === code)?.word;
  return word === 'check' || word === 'repair';
}

interface Before {
  /** False also where the look before is too long ago or of another boot. */
  readonly isSeen: boolean;
  readonly isChecking: boolean;
  readonly elapsedSeconds: number;
  readonly donePercent: number | null;
  readonly secondsLeft: number | null;
  readonly began: KeptOfArray | null;
}

function beforeOf(kept: readonly KeptOfArray[], now: LookNow): Before {
  const find = (metric: string) =>
    kept.find((one) => one.metric === metric && one.place === '' && one.boot === now.boot) ?? null;
  const work = find('array-work');
  const elapsedMs = work === null ? Number.POSITIVE_INFINITY : now.monoMs - work.lastMonoMs;
  const isSeen = work !== null && work.value !== null && elapsedMs <= lookGapMaxMs;
  const isChecking = isSeen && isCheck(work.value ?? 0);
  const ofWork = (metric: string) => (isChecking ? (find(metric)?.value ?? null) : null);
  return {
    isSeen,
    isChecking,
    elapsedSeconds: Math.max(0, elapsedMs / 1000),
    donePercent: ofWork('array-work-done'),
    secondsLeft: ofWork('array-work-left'),
    began: isChecking ? find('array-check-began') : null,
  };
}

/** The beginning of the check that runs now; null when none runs. */
function beganReading(look: Look, before: Before, now: LookNow): Reading | null {
  if (look.isChecking !== true) return null;
  const startedAgain = (look.donePercent ?? 0) < (before.donePercent ?? 0);
  if (before.isChecking && !startedAgain && before.began !== null) {
    const { value, text } = before.began;
    return value === null ? absent(began, 'no-figure', text) : measured(began, value, text);
  }
  if (!before.isSeen) {
    return absent(began, 'no-figure', 'It was under way already when it was first looked at');
  }
  if (!beganAtStart(look, before.elapsedSeconds)) {
    const place = `${formatNumber(look.donePercent, 1)} %`;
    return absent(began, 'no-figure', `It was first seen at ${place}: it may not have begun at 0`);
  }
  const seconds = Math.round(now.wallMs / 1000);
  return measured(began, seconds, momentWords(seconds));
}

/** The part that is done must fit the time since the look before, at the speed that it has now. */
function beganAtStart({ donePercent, secondsLeft }: Look, elapsedSeconds: number): boolean {
  if (donePercent === null || donePercent < 1) return true;
  if (secondsLeft === null || donePercent >= 100) return false;
  const secondsSoFar = (secondsLeft * donePercent) / (100 - donePercent);
  return secondsSoFar <= fasterMax * elapsedSeconds + slackSeconds;
}

/** Null where the check was not seen from its start, or where it stopped before its end. */
function endOf(before: Before, { now, look }: { now: LookNow; look: Look }): Reading | null {
  const beganSeconds = before.began?.value ?? null;
  if (beganSeconds === null) return null;
  const { secondsLeft, elapsedSeconds } = before;
  if (secondsLeft === null || secondsLeft > fasterMax * elapsedSeconds + slackSeconds) return null;
  const seconds = Math.round(now.wallMs / 1000);
  const took = formatDuration(Math.max(0, seconds - beganSeconds));
  const found = look.mismatches === null ? '' : `, ${mismatchWords(look.mismatches)}`;
  const words = `whole check seen to end ${momentWords(seconds)} after ${took}${found}`;
  return measured(lastCheck, seconds, words);
}

function mismatchWords(sectors: number): string {
  if (sectors === 0) return 'no copies disagreed';
  return `copies disagreed in up to ${formatNumber(sectors)} sectors`;
}

function keptCheck(kept: readonly KeptOfArray[], now: LookNow): Reading {
  const last = kept.find(({ metric, place }) => metric === lastCheck.metric && place === '');
  if (last !== undefined && last.value !== null) return measured(lastCheck, last.value, last.text);
  if (last !== undefined && last.text !== '') return absent(lastCheck, 'no-figure', last.text);
  const since = momentWords(Math.round(now.wallMs / 1000));
  const why = `Not known before ${since}: the kernel keeps no date of checks, and none was seen from its start to its end since`;
  return absent(lastCheck, 'no-figure', why);
}
