import { showFound, showPath } from './complaint.js';
import {
  type ComplaintList,
  numberAt,
  type PlacedText,
  type RawEntry,
  textAt,
  textsAt,
} from './raw-entry.js';
import { checkOnce } from './references.js';
import type { arrayLayouts, ListName } from './schema.js';

/** Fewest members of each layout (common practice; RAID-Z p needs p parity and one data drive). */
export const membersMin: Readonly<Record<(typeof arrayLayouts)[number], number>> = {
  single: 1,
  mirror: 2,
  raid0: 2,
  raid1: 2,
  raid5: 3,
  raid6: 4,
  raid10: 4,
  raidz1: 2,
  raidz2: 3,
  raidz3: 4,
};

/**
 * Looks for what cannot be built: a port with two drives or cables, a slot with two cards, a drive
 * in two arrays or on two power leads, leads that feed each other in a ring, a slot with more lanes
 * connected than fit, an array with too few members.
 */
export function checkWiring(entries: readonly RawEntry[], complaints: ComplaintList): void {
  const all = (table: ListName, key: string) => entriesOf(entries, table).flatMap(textOf(key));
  const lists = (table: ListName, key: string) =>
    entriesOf(entries, table).flatMap((entry) => textsAt(entry, key));
  checkOnce(all('drive', 'port'), 'a port that no other drive uses', complaints);
  const inSlots = [...all('card', 'slot'), ...all('drive', 'slot')];
  checkOnce(inSlots, 'a slot that nothing else sits in', complaints);
  checkOnce(lists('array', 'members'), 'a drive that is in one array once', complaints);
  checkOnce(lists('cable', 'ports'), 'a port with one cable', complaints);
  checkOnce(lists('power-lead', 'feeds'), 'a drive or lead fed by one lead', complaints);
  for (const slot of entriesOf(entries, 'slot')) checkSlot(slot, complaints);
  for (const array of entriesOf(entries, 'array')) checkMemberCount(array, complaints);
  checkRings(entriesOf(entries, 'power-lead'), complaints);
}

function entriesOf(entries: readonly RawEntry[], table: ListName): readonly RawEntry[] {
  return entries.filter((entry) => entry.table === table);
}

function textOf(key: string): (entry: RawEntry) => readonly PlacedText[] {
  return (entry) => {
    const text = textAt(entry, key);
    return text === null ? [] : [text];
  };
}

function checkSlot(slot: RawEntry, complaints: ComplaintList): void {
  const size = numberAt(slot, 'size');
  const wired = numberAt(slot, 'wired');
  if (size === null || wired === null || wired <= size) return;
  complaints.add(() => ({
    line: slot.located.entries.get('wired')?.line ?? slot.located.line,
    key: showPath([slot.table, slot.index, 'wired']),
    expected: `at most the slot's size, ${size} lanes`,
    found: showFound(wired),
  }));
}

function checkMemberCount(array: RawEntry, complaints: ComplaintList): void {
  const layout = textAt(array, 'layout')?.text ?? '';
  const members = array.located.entries.get('members');
  const fewest = Object.hasOwn(membersMin, layout)
    ? membersMin[layout as keyof typeof membersMin]
    : null;
  if (fewest === null || members?.kind !== 'list') return;
  const count = members.items.length;
  const even = layout !== 'raid10' || count % 2 === 0;
  if (count >= fewest && even && (layout !== 'single' || count === 1)) return;
  complaints.add(() => ({
    line: members.line,
    key: showPath([array.table, array.index, 'members']),
    expected: membersWords(layout, fewest),
    found: `${count}`,
  }));
}

function membersWords(layout: string, fewest: number): string {
  if (layout === 'single') return 'one member for layout "single"';
  const even = layout === 'raid10' ? ', an even number,' : '';
  return `at least ${fewest} members${even} for layout "${layout}"`;
}

/** Walks from each lead to all that it feeds; coming back to the start is a ring. */
function checkRings(leads: readonly RawEntry[], complaints: ComplaintList): void {
  const feeds = new Map(
    leads.map((lead) => [textAt(lead, 'id')?.text, textsAt(lead, 'feeds').map(({ text }) => text)]),
  );
  for (const lead of leads) {
    const id = textAt(lead, 'id');
    if (id === null || !reaches(id.text, feeds)) continue;
    complaints.add(() => ({
      line: id.line,
      key: showPath([lead.table, lead.index, 'feeds']),
      expected: 'power leads that do not feed themselves',
      found: `a ring through ${showFound(id.text)}`,
    }));
  }
}

function reaches(
  start: string,
  feeds: ReadonlyMap<string | undefined, readonly string[]>,
): boolean {
  const seen = new Set<string>();
  const open = [...(feeds.get(start) ?? [])];
  for (let here = open.pop(); here !== undefined; here = open.pop()) {
    if (here === start) return true;
    if (seen.has(here)) continue;
    seen.add(here);
    open.push(...(feeds.get(here) ?? []));
  }
  return false;
}
