/** Which jobs are due now, most urgent first. Pure. */
import type { JobRow } from '../store/rows.js';
import { type JobName, type JobRule, jobKey, retryMs } from './jobs.js';

export interface Now {
  readonly boot: number;
  readonly bootMs: number;
  readonly wallMs: number;
  readonly wallTrusted: boolean;
  readonly poweredMs: number;
}

/** What else goes on in the box. */
export interface Situation {
  readonly idle: boolean;
  /** An array is degraded, rebuilding or being checked. */
  readonly arrayBusy: boolean;
  readonly burnInRunning: boolean;
  /** Names of the drives that are there. */
  readonly drives: readonly string[];
  /** Keys of jobs that a change in the box makes due at once. */
  readonly dueNow?: ReadonlySet<string>;
}

export interface DueQuestion {
  readonly now: Now;
  readonly situation: Situation;
  readonly history: readonly JobRow[];
  /** Numbers of the boots whose calendar is believed. */
  readonly trustedBoots: ReadonlySet<number>;
}

export interface DueJob {
  readonly key: string;
  readonly job: JobName;
  readonly drive: string | null;
  readonly heavy: boolean;
  readonly recorded: boolean;
}

/** Half the distance of two ticks: a job is due at the tick nearest to its time. */
const toleranceMs = 30_000;

/**
 * Jobs due now in order of urgency: by the order of `rules`, then never-run before long-waiting.
 * Time since a run is counted on the box's own clock. The calendar can only make it longer, and
 * only where it was believed both times, so that a stepping clock neither floods nor starves.
 */
export function due(rules: readonly JobRule[], question: DueQuestion): readonly DueJob[] {
  const chosen: DueJob[] = [];
  for (const rule of rules) {
    const ready = candidates(rule, question)
      .filter(({ job, row }) => isDue(rule, { job, row, question, chosen }))
      .toSorted((one, other) => waitedMs(other, question) - waitedMs(one, question))
      .map(({ job }) => job);
    chosen.push(...(rule.heavy ? ready.slice(0, 1) : ready));
  }
  return chosen;
}

interface Candidate {
  readonly job: DueJob;
  readonly row: JobRow | undefined;
}

function candidates(rule: JobRule, question: DueQuestion): readonly Candidate[] {
  const drives = rule.perDrive ? question.situation.drives : [null];
  return drives.map((drive) => {
    const key = jobKey(rule.name, drive);
    const { heavy, recorded } = rule;
    const job: DueJob = { key, job: rule.name, drive, heavy, recorded };
    return { job, row: question.history.find((row) => row.job === key) };
  });
}

interface Case extends Candidate {
  readonly question: DueQuestion;
  readonly chosen: readonly DueJob[];
}

function isDue(rule: JobRule, one: Case): boolean {
  const { now, situation } = one.question;
  if (now.bootMs < settledMs(rule, one.job.key, now.boot)) {
    return false;
  }
  const mayWork = situation.idle && !situation.arrayBusy && !situation.burnInRunning;
  if (rule.heavy && !mayWork) {
    return false;
  }
  return rule.after.length > 0 ? followsSomething(rule, one) : isTime(rule, one);
}

function isTime(rule: JobRule, { job, row, question }: Case): boolean {
  if (question.situation.dueNow?.has(job.key)) {
    return true;
  }
  if (row === undefined || (rule.eachBoot && row.lastBoot !== question.now.boot)) {
    return true;
  }
  const { calendar, powered } = sinceRun(row, question);
  const wanted = row.outcome === 'done' ? rule.everyMs : Math.min(rule.everyMs, retryMs);
  return (
    calendar >= wanted - toleranceMs ||
    (rule.everyPoweredMs !== null && powered >= rule.everyPoweredMs - toleranceMs)
  );
}

function followsSomething(rule: JobRule, { row, question, chosen }: Case): boolean {
  const isAwaited = (key: string) =>
    rule.after.some((name) => key === name || key.startsWith(`${name}:`));
  return (
    chosen.some(({ key }) => isAwaited(key)) ||
    question.history.some((other) => isAwaited(other.job) && isLater(other, row))
  );
}

function isLater(one: JobRow, other: JobRow | undefined): boolean {
  if (other === undefined || one.lastBoot !== other.lastBoot) {
    return other === undefined || one.lastBoot > other.lastBoot;
  }
  return one.lastMonoMs > other.lastMonoMs;
}

/** Time since a run, by the calendar and by powered-on time; neither is ever below zero. */
function sinceRun(row: JobRow, { now, trustedBoots }: DueQuestion) {
  if (row.lastBoot === now.boot) {
    const same = Math.max(0, now.bootMs - row.lastMonoMs);
    return { calendar: same, powered: same };
  }
  const powered = Math.max(0, now.poweredMs - row.lastPoweredMs);
  const believed = now.wallTrusted && trustedBoots.has(row.lastBoot);
  return { calendar: Math.max(powered, believed ? now.wallMs - row.lastWallMs : 0), powered };
}

function waitedMs({ row }: Candidate, question: DueQuestion): number {
  return row === undefined ? Number.MAX_VALUE : sinceRun(row, question).calendar;
}

/** Another moment at each boot, so that no job is always too late for a box that is on briefly. */
function settledMs(rule: JobRule, key: string, boot: number): number {
  return rule.afterBootMs + rule.spreadMs * spread(`${key} ${boot}`);
}

/** A text as a fraction of 1, always the same (FNV-1a, mixed as in MurmurHash 3, from memory). */
function spread(text: string): number {
  let hash = 0x811c9dc5;
  for (const character of text) {
    hash = Math.imul(hash ^ (character.codePointAt(0) ?? 0), 0x01000193);
  }
  hash = Math.imul(hash ^ (hash >>> 16), 0x85ebca6b);
  hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35);
  return ((hash ^ (hash >>> 16)) >>> 0) / 2 ** 32;
}
