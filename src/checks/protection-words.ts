import { formatNumber } from './units.js';

const smallNumbers = ['none', 'one', 'two', 'three', 'four', 'five', 'six'];

/** A small count in words, a larger one in digits. Counts that are no whole number are digits. */
export function countWords(count: number): string {
  return smallNumbers[count] ?? formatNumber(count);
}

/** "any two may fail", for members of an array whichever they are; 0 is "none may fail". Pure. */
export function mayFailWords(count: number): string {
  return count <= 0 ? 'none may fail' : `any ${countWords(count)} may fail`;
}

/**
 * How an md array of this level protects, with all members there: "RAID 6 of 5 members, any two may
 * fail", "Mirror of two, any one may fail". `mayFail` is null for a level that is not known. Pure.
 */
export function mdProtectionWords(
  level: string,
  { members, mayFail }: { readonly members: number | null; readonly mayFail: number | null },
): string {
  const known = mayFail === null ? 'how many may fail is not known' : mayFailWords(mayFail);
  const name = mdLevelWords(level);
  const of = level === 'raid1' ? countWords(members ?? 0) : `${members} members`;
  return `${name.charAt(0).toUpperCase()}${name.slice(1)}${members === null ? '' : ` of ${of}`}, ${known}`;
}

/** An md level as people say it: "RAID 6", "mirror". Pure. */
export function mdLevelWords(level: string): string {
  if (level === 'raid1') return 'mirror';
  if (level === 'linear') return 'members one after the other';
  const number = /^raid(\d+)$/.exec(level)?.[1];
  return number === undefined ? `level "${level.slice(0, 20)}"` : `RAID ${number}`;
}

/** Source: btrfs(5) manual page, section PROFILES, from memory. */
const profileWords: Readonly<Record<string, string>> = {
  single: 'once',
  dup: 'twice on the same drive',
  raid0: 'once, spread over the drives',
  raid1: 'on two drives',
  raid1c3: 'on three drives',
  raid1c4: 'on four drives',
  raid10: 'on two drives, spread over all',
  raid5: 'with one parity',
  raid6: 'with two parities',
};

/**
 * The same for the profiles of a btrfs file system: "Data on two drives (raid1), metadata on three
 * drives (raid1c3), any one may fail". A change of profile under way shows several. Pure.
 */
export function btrfsProtectionWords(
  profiles: { readonly data: readonly string[]; readonly metadata: readonly string[] },
  mayFail: number,
): string {
  const of = (names: readonly string[]) =>
    names
      .map((name) => `${profileWords[name] ?? 'in a way not known here'} (${name})`)
      .join(' and ');
  const kinds = [
    profiles.data.length === 0 ? null : `data ${of(profiles.data)}`,
    profiles.metadata.length === 0 ? null : `metadata ${of(profiles.metadata)}`,
  ].filter((one) => one !== null);
  const text = [...kinds, mayFailWords(mayFail)].join(', ');
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/**
 * What is left of the protection: "any one more may fail", or that the next failure loses data.
 * `mayStillFail` is null where it is not known. Pure.
 */
export function spareWords(mayStillFail: number | null): string {
  if (mayStillFail === null) return 'how many more may fail is not known';
  if (mayStillFail <= 0) return 'no drive to spare now, the next failure loses data';
  return `any ${countWords(mayStillFail)} more may fail`;
}

/** Begins the row of evidence that tells how an array protects when it is whole. */
export const madeAs = 'Made as ';
