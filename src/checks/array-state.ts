import type { ArrayActivity } from './safe-to-switch-off.js';

/**
 * What the kernel's md driver can be doing to a whole array, by the code that the reading
 * `array-work` carries. Words as in Linux Documentation/admin-guide/md.rst, sync_action.
 */
export const arrayWorks = [
  { code: 0, word: 'idle', text: 'nothing' },
  { code: 1, word: 'resync', text: 'bringing its copies to agree again' },
  { code: 2, word: 'recover', text: 'rebuilding a member' },
  { code: 3, word: 'reshape', text: 'being reshaped' },
  { code: 4, word: 'check', text: 'comparing its copies' },
  { code: 5, word: 'repair', text: 'comparing its copies and making them agree' },
  { code: 6, word: 'frozen', text: 'held still by request' },
  { code: 7, word: 'balance', text: 'spreading its data anew' },
] as const;

export type ArrayWorkCode = (typeof arrayWorks)[number]['code'];

/** Codes of the reading `array-member-state`; in step, spare and left are no trouble. */
export const memberStates = {
  inStep: 0,
  rebuilding: 1,
  out: 2,
  /** It was a member, the array lists it no more, and members are missing. */
  missing: 3,
  spare: 4,
  /** It was a member; its place is filled. */
  left: 5,
} as const;

/** Figures of an array that are only there while the kernel works on the whole of it. */
export const onlyDuringWork: readonly string[] = [
  'array-work-done',
  'array-work-rate',
  'array-work-left',
  'array-check-began',
];

/** A reading as far as the activity of an array needs it. */
export interface ArrayFigure {
  readonly metric: string;
  readonly place?: string;
  readonly value: number | null;
}

/**
 * What an array does, from its own readings (`array-work`, `array-may-still-fail` in counts,
 * `array-work-left` in seconds). Null when its work was not told. How many members may still fail
 * counts as none where that is not known: better too careful. Pure; never throws.
 */
export function arrayActivity(name: string, figures: readonly ArrayFigure[]): ArrayActivity | null {
  const numberAt = (metric: string) =>
    figures.find((one) => one.metric === metric && (one.place ?? '') === '')?.value ?? null;
  const work = numberAt('array-work');
  if (work === null) return null;
  return {
    name,
    doing: doingOf(work),
    mayStillFail: numberAt('array-may-still-fail') ?? 0,
    secondsLeft: numberAt('array-work-left'),
  };
}

function doingOf(code: number): ArrayActivity['doing'] {
  if (code === 0 || code === 6) return 'nothing';
  if (code === 3 || code === 7) return 'reshaping';
  return code === 4 || code === 5 ? 'checking' : 'rebuilding';
}

/**
 * Members of an array of this level that may fail, whichever they are, before data is lost; null
 * for a level that is not known. `copies` is what level 10 keeps of each block. Source: Linux
 * Documentation/admin-guide/md.rst and md(4), from memory.
 */
export function mayFailAtLevel(
  level: string,
  { members, copies }: { readonly members: number; readonly copies: number | null },
): number | null {
  if (level === 'raid1') return Math.max(0, members - 1);
  if (level === 'raid4' || level === 'raid5') return 1;
  if (level === 'raid6') return 2;
  if (level === 'raid10') return copies === null ? null : Math.max(0, copies - 1);
  return level === 'raid0' || level === 'linear' ? 0 : null;
}

/**
 * The same for a btrfs profile. Source: btrfs(5) manual page, section PROFILES, from memory.
 */
export function mayFailWithProfile(profile: string): number | null {
  const known: Readonly<Record<string, number>> = {
    single: 0,
    dup: 0,
    raid0: 0,
    raid1: 1,
    raid1c3: 2,
    raid1c4: 3,
    raid10: 1,
    raid5: 1,
    raid6: 2,
  };
  return known[profile] ?? null;
}
