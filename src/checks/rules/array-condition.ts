import { memberStates } from '../array-state.js';
import type { Check, CheckInput } from '../check.js';
import type { CheckResult, Evidence } from '../finding.js';
import {
  absenceWords,
  cannotTell,
  evidenceOf,
  newestLook,
  numberLook,
  ownSeries,
} from '../history.js';
import { metricInfo } from '../metrics.js';
import { madeAs } from '../protection-words.js';
import { agreed } from './two-looks.js';

/**
 * Codes of `array-state` by family. An md array that was never started (2) or lost too many members
 * (10) serves nothing; so does a ZFS pool that is faulted, unavailable, removed or suspended.
 */
const stoppedStates: Readonly<Record<string, readonly number[]>> = {
  md: [2, 10],
  zfs: [2, 3, 5, 6],
};
const poolDegraded = 1;
const rebuilding = 2;

/**
 * Claim: the array runs. Expected: the kernel's own word for its state (Linux
 * Documentation/admin-guide/md.rst, array_state; OpenZFS module/zfs/spa_misc.c, from memory) is
 * none of those in which requests fail. Opens and clears when two looks agree. Silent for btrfs,
 * which tells no such state; a state that is not told is "cannot tell".
 */
export const arrayStopped: Check = {
  code: 'array-stopped',
  claim: 'The array is running',
  judge: (input) => {
    const states = stoppedStates[String(input.details.family)];
    const series = ownSeries(input, 'array-state');
    if (states === undefined || series === null) return [];
    const about = {
      code: 'array-stopped',
      subject: input.subject,
      unit: 'code',
      source: 'the kernel’s word for the state of the array',
    } as const;
    const last = numberLook(series.looks.at(-1));
    if (last === null) return [cannotTell(about, absenceWords(series))];
    return [
      {
        ...about,
        ...agreed(series, (value) => states.includes(value)),
        urgency: 'today',
        measured: last.value,
        expected: 0,
        evidence: [evidenceOf('State of the array', last, 'code')],
      },
    ];
  },
};

/**
 * Claim: every member of the array is in its place. Expected: 0 missing (kernel file degraded of
 * md, devinfo of btrfs; a ZFS pool tells that it is degraded, not how many are missing). Today when
 * the next failure loses data or when nobody knows, soon when another may still fail. Opens and
 * clears when two looks agree. Silent for levels that keep no copies and while the array is
 * stopped, which is a finding of its own.
 */
export const arrayDegraded: Check = {
  code: 'array-degraded',
  claim: 'Every member of the array is in its place',
  judge: (input) => {
    if (input.kind !== 'array' || keepsNoCopies(input) || isStopped(input)) return [];
    return input.details.family === 'zfs' ? judgePool(input) : judgeMembers(input);
  },
};

function keepsNoCopies({ details }: CheckInput): boolean {
  return details.level === 'raid0' || details.level === 'linear';
}

function isStopped(input: CheckInput): boolean {
  return arrayStopped.judge(input).some(({ outcome }) => outcome === 'short');
}

function judgePool(input: CheckInput): readonly CheckResult[] {
  const series = ownSeries(input, 'array-state');
  const last = numberLook(series?.looks.at(-1));
  const about = aboutOf(input, 'code');
  if (series === null || last === null) return [cannotTell(about, absenceWords(series))];
  return [
    {
      ...about,
      ...agreed(series, (value) => value === poolDegraded),
      urgency: 'today',
      measured: last.value,
      expected: 0,
      evidence: [evidenceOf('State of the array', last, 'code')],
      tellsOf: membersOf(input),
    },
  ];
}

function judgeMembers(input: CheckInput): readonly CheckResult[] {
  const series = ownSeries(input, 'array-members-missing');
  const last = numberLook(series?.looks.at(-1));
  const about = aboutOf(input, 'count');
  if (series === null || last === null) return [cannotTell(about, absenceWords(series))];
  const mayStillFail = newestLook(input, 'array-may-still-fail');
  return [
    {
      ...about,
      ...agreed(series, (value) => value > 0),
      urgency: (mayStillFail?.value ?? 0) > 0 ? 'soon' : 'today',
      measured: last.value,
      expected: 0,
      evidence: [
        ...protectionRows(input),
        evidenceOf(metricInfo('array-members-missing').label, last, 'count'),
        ...(mayStillFail === null
          ? []
          : [evidenceOf(metricInfo('array-may-still-fail').label, mayStillFail, 'count')]),
        ...notInStep(input),
        ...rebuildRows(input),
      ],
      tellsOf: membersOf(input),
    },
  ];
}

/** What the layout bears when it is whole: "Made as RAID 6 of 5 members, any two may fail". */
function protectionRows(input: CheckInput): readonly Evidence[] {
  const look = ownSeries(input, 'array-protection')?.looks.at(-1);
  const last = numberLook(look);
  if (last === null || look?.text === undefined || look.text === '') return [];
  const words = look.text.replace(/^[A-Z](?=[a-z])/, (letter) => letter.toLowerCase());
  return [evidenceOf(`${madeAs}${words}`, last, 'count')];
}

function aboutOf({ subject }: CheckInput, unit: 'code' | 'count') {
  const source = 'every member that the array was made with';
  return { code: 'array-degraded', subject, unit, source } as const;
}

/** Drives that belong to it by any look, also one that was missed later. */
function membersOf({ series, details: { members } }: CheckInput): readonly string[] {
  const seen = series.filter(({ metric }) => metric === 'array-member-state');
  const told: readonly unknown[] = Array.isArray(members) ? members : [];
  const names = [...told, ...seen.map(({ place }) => place)];
  return [...new Set(names)].filter((one): one is string => typeof one === 'string' && one !== '');
}

const troubleOfMember: Readonly<Record<number, string>> = {
  [memberStates.rebuilding]: 'being rebuilt',
  [memberStates.out]: 'thrown out',
  [memberStates.missing]: 'missing',
};

/** Members that are out, missing or being rebuilt, by the bay and serial of their drive. */
function notInStep(input: CheckInput): readonly Evidence[] {
  return input.series
    .filter(({ metric, place }) => metric === 'array-member-state' && place !== '')
    .flatMap(({ place, looks }) => {
      const last = numberLook(looks.at(-1));
      const words = last === null ? undefined : troubleOfMember[last.value];
      if (last === null || words === undefined) return [];
      return [evidenceOf(`${input.nameOf(place)}: ${words}`, last, 'code')];
    });
}

function rebuildRows(input: CheckInput): readonly Evidence[] {
  const work = newestLook(input, 'array-work');
  const done = newestLook(input, 'array-work-done');
  if (work?.value !== rebuilding || done === null) return [];
  return [evidenceOf('Rebuilt so far', done, 'percent')];
}
