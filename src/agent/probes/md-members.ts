import { memberStates } from '../../checks/array-state.js';
import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';
import { notKnown, parseBadSectors } from './parse-arrays.js';
import { wholeNumber } from './read-kernel.js';

/** Kernel files of one member of an md array; null where a file is absent or silent. */
export interface MdMemberFiles {
  /** The member by its drive's id, or by its place in the array. */
  readonly name: string;
  readonly state: string | null;
  /** Its place in the array; "none" for a spare and for one that was thrown out. */
  readonly slot: string | null;
  readonly errors: string | null;
  readonly badBlocks: string | null;
}

/** Source: Linux Documentation/admin-guide/md.rst, state of a member device. */
const memberWords: Readonly<Record<string, string>> = {
  in_sync: 'in step',
  faulty: 'thrown out as faulty',
  write_mostly: 'read only when the others cannot',
  blocked: 'held until a failure is noted',
  replacement: 'taking the place of another',
  want_replacement: 'to be replaced',
  journal: 'journal',
};

/** `syncAction` is what the kernel does to the whole array. */
export function memberReadings(
  member: MdMemberFiles,
  syncAction: string | null,
): readonly Reading[] {
  return [stateReading(member, syncAction), ...errorReading(member), ...badReading(member)];
}

/** The kernel calls a member in a place "spare" until it is in step. */
function stateReading({ name, state, slot }: MdMemberFiles, syncAction: string | null): Reading {
  const figure: Figure = {
    metric: 'array-member-state',
    unit: 'code',
    place: name,
    source: 'Kernel files state and slot of the member',
  };
  const words = (state ?? '').split(',').filter((word) => word !== '');
  if (words.length === 0) return absent(figure, 'no-figure', notKnown('state', state));
  const others = words.filter((word) => word !== 'spare').map((word) => memberWords[word] ?? word);
  const told = (code: number, word: string | null) =>
    measured(figure, code, [word, ...others].filter((one) => one !== null).join(', '));
  if (words.includes('faulty')) return told(memberStates.out, null);
  if (words.includes('in_sync')) return told(memberStates.inStep, null);
  if (words.includes('journal')) return told(memberStates.spare, null);
  if (wholeNumber(slot ?? '') === null) return told(memberStates.spare, 'spare');
  return told(
    memberStates.rebuilding,
    syncAction === 'recover' ? 'being rebuilt' : 'waits to be rebuilt',
  );
}

function errorReading({ name, errors }: MdMemberFiles): readonly Reading[] {
  const count = wholeNumber(errors ?? '');
  if (count === null || count < 0) return [];
  const source = 'Kernel file errors of the member: read errors that were put right';
  return [measured({ metric: 'array-member-errors', unit: 'count', place: name, source }, count)];
}

function badReading({ name, badBlocks }: MdMemberFiles): readonly Reading[] {
  if (badBlocks === null) return [];
  const bad = parseBadSectors(badBlocks);
  const figure: Figure = {
    metric: 'array-member-bad-sectors',
    unit: 'sectors',
    place: name,
    source: `Kernel file bad_blocks of the member${bad?.isCut === true ? ', at least: it lists no more' : ''}`,
  };
  if (bad !== null) return [measured(figure, bad.sectors)];
  return [absent(figure, 'no-figure', notKnown('bad_blocks', badBlocks))];
}
