import type { EventKind } from './event.js';
import type { PartKind } from './part.js';

/** A part at one look: what is kept of it and what is seen have this in common. */
export interface PartLook {
  readonly kind: PartKind;
  readonly identityKey: string;
  readonly name: string;
  readonly details: Readonly<Record<string, unknown>>;
}

/** A part as it was kept. */
export interface KeptLook extends PartLook {
  /** The newest look that is kept did not find it. */
  readonly isGone: boolean;
  /** It was last seen in the boot of this look. */
  readonly isOfThisBoot?: boolean;
}

export interface InventoryChange {
  readonly kind: EventKind;
  readonly identityKey: string;
  /** One sentence about the part, which is not named in it. */
  readonly text: string;
  /** Before and after, as they were told. */
  readonly record: string;
}

/**
 * What changed between the newest look that is kept and this one: parts that are missing, new, back
 * after having been away, moved to another port or slot, or that carry other firmware, drivers or
 * versions. What is back is compared with how it was when it was last seen. Nothing is told at the
 * very first look. A part without a lasting place or version on either side is not compared in it.
 * Pure; never throws.
 */
export function inventoryChanges(
  kept: readonly KeptLook[],
  seen: readonly PartLook[],
): readonly InventoryChange[] {
  if (kept.length === 0) return [];
  const when = kept.every(({ isOfThisBoot }) => isOfThisBoot === false) ? atStart : '';
  const before = kept.filter(({ isGone }) => !isGone);
  const missing = before.filter((part) => !has(seen, part));
  const added = seen.filter((part) => !has(before, part));
  const moves = cardMoves(missing, added);
  const movedKeys = new Set(moves.flatMap(({ from, to }) => [from.identityKey, to.identityKey]));
  const others = (parts: readonly PartLook[]) =>
    parts.filter(({ identityKey }) => !movedKeys.has(identityKey));
  return [
    ...others(missing).map((part) => missingChange(part, { seen, when })),
    ...others(added).map((part) => addedChange(part, { kept, when })),
    ...moves.map(({ from, to }) => movedCard(from, to)),
    ...seen.flatMap((part) => changesOf(part, { kept, seen })),
  ];
}

function has(parts: readonly PartLook[], { identityKey }: PartLook): boolean {
  return parts.some((one) => one.identityKey === identityKey);
}

/** Stands behind what a first look of a boot tells. */
const atStart = ', at the first look of a boot';

/** Whether a part that is missing or back was so when its boot began, by the event's text. */
export function isAtStart(text: string): boolean {
  return text.endsWith(atStart);
}

function missingChange(
  part: PartLook,
  { seen, when }: { readonly seen: readonly PartLook[]; readonly when: string },
): InventoryChange {
  const { identityKey, name } = part;
  if (seen.some((one) => isKnownByPlace(one, part))) {
    const text =
      'Another drive tells the same serial or world-wide name: until they can be told apart ' +
      'each is known by its place, and this history rests';
    return { kind: 'identity-shared', identityKey, text, record: name };
  }
  const text = `It was there at the look before and is not found now${when}`;
  return { kind: 'part-missing', identityKey, text, record: name };
}

function addedChange(
  part: PartLook,
  { kept, when }: { readonly kept: readonly PartLook[]; readonly when: string },
): InventoryChange {
  const { identityKey, name } = part;
  if (has(kept, part)) {
    const text = `It is back after having been away${when}`;
    return { kind: 'part-back', identityKey, text, record: name };
  }
  if (kept.some((one) => isKnownByPlace(part, one))) {
    const text = 'It is known by its place, for another drive tells the same serial or name';
    return { kind: 'identity-shared', identityKey, text, record: name };
  }
  return { kind: 'part-new', identityKey, text: 'It is new in this box', record: name };
}

/** Of drives that share a name each carries its place behind it. */
function isKnownByPlace(one: PartLook, named: PartLook): boolean {
  return one.identityKey.startsWith(`${named.identityKey}@`);
}

/**
 * A card is known by its slot, so one that moved is missing in one slot and new in another. That
 * can be told only when it is the one of its kind on both sides.
 */
function cardMoves(missing: readonly PartLook[], added: readonly PartLook[]) {
  return missing.flatMap((from) => {
    const model = from.details.vendorDevice;
    if (typeof model !== 'string') return [];
    const same = (part: PartLook) => part.details.vendorDevice === model;
    const [to, ...more] = added.filter(same);
    const isOnly = missing.filter(same).length === 1 && more.length === 0;
    return to !== undefined && isOnly ? [{ from, to }] : [];
  });
}

function movedCard(from: PartLook, to: PartLook): InventoryChange {
  const [was, is] = [from, to].map(({ details }) => String(details.pciAddress ?? 'no slot told'));
  const text = `It moved to another slot: it was at PCI address ${was}, now it is at ${is}`;
  return { kind: 'part-moved', identityKey: to.identityKey, text, record: `${was} > ${is}` };
}

interface Looks {
  readonly kept: readonly KeptLook[];
  readonly seen: readonly PartLook[];
}

function changesOf(part: PartLook, { kept, seen }: Looks): readonly InventoryChange[] {
  const last = kept.find(({ identityKey }) => identityKey === part.identityKey);
  if (last === undefined) return [];
  const changes = [
    shortAbsence(last, part),
    portChange({ last, part }, { kept, seen }),
    textChange({ last, part }, { field: 'firmware', kind: 'firmware-changed', name: 'firmware' }),
    textChange({ last, part }, { field: 'driver', kind: 'version-changed', name: 'driver' }),
    ...versionChanges({ last, part }),
  ];
  return changes.filter((change) => change !== null);
}

/**
 * The kernel numbers the disks of a boot in the order in which it finds them and never gives a
 * number twice (Linux Documentation/ABI/stable/sysfs-block, diskseq). Between two boots the number
 * says nothing.
 */
function shortAbsence(last: KeptLook, part: PartLook): InventoryChange | null {
  const [was, is] = [last.details.diskSequence, part.details.diskSequence];
  if (last.isGone || last.isOfThisBoot !== true) return null;
  if (typeof was !== 'string' || typeof is !== 'string' || was === is) return null;
  const text = 'It, or its medium, was away for a moment between two looks at the box';
  const record = `disk number ${was} > ${is}`;
  return { kind: 'part-back', identityKey: part.identityKey, text, record };
}

interface Pair {
  readonly last: PartLook;
  readonly part: PartLook;
}

/** Controllers are compared by identity: their name may have been given by a model meanwhile. */
function portChange({ last, part }: Pair, { kept, seen }: Looks): InventoryChange | null {
  const [was, is] = [portOf(last, kept), portOf(part, seen)];
  if (was === null || is === null || was.key === is.key) return null;
  const text = `It moved from ${was.words} to ${is.words}`;
  const record = `${was.key} > ${is.key}`;
  return { kind: 'part-moved', identityKey: part.identityKey, text, record };
}

function portOf(
  { details: { controller, port, slotAddress } }: PartLook,
  parts: readonly PartLook[],
): { readonly key: string; readonly words: string } | null {
  if (typeof slotAddress === 'string') {
    return { key: `slot ${slotAddress}`, words: `the slot at PCI address ${slotAddress}` };
  }
  if (typeof controller !== 'string' || typeof port !== 'string') return null;
  const key = parts.find(({ name }) => name === controller)?.identityKey ?? controller;
  return { key: `${key} ${port}`, words: `${port} of ${controller}` };
}

interface Field {
  readonly field: string;
  readonly kind: EventKind;
  readonly name: string;
}

function textChange({ last, part }: Pair, { field, kind, name }: Field): InventoryChange | null {
  return wordChange(part.identityKey, {
    kind,
    name,
    was: last.details[field],
    is: part.details[field],
  });
}

/** Details named `versions` hold versions by what they are of. */
function versionChanges({ last, part }: Pair): readonly (InventoryChange | null)[] {
  const [was, is] = [versionsOf(last), versionsOf(part)];
  return Object.keys(is).map((name) =>
    wordChange(part.identityKey, {
      kind: 'version-changed',
      name,
      was: was[name],
      is: is[name],
    }),
  );
}

function versionsOf({ details: { versions } }: PartLook): Readonly<Record<string, unknown>> {
  return typeof versions === 'object' && versions !== null ? { ...versions } : {};
}

interface Words {
  readonly kind: EventKind;
  readonly name: string;
  readonly was: unknown;
  readonly is: unknown;
}

function wordChange(identityKey: string, { kind, name, was, is }: Words): InventoryChange | null {
  if (typeof was !== 'string' || typeof is !== 'string') return null;
  if (was === '' || is === '' || was === is) return null;
  const text = `Its ${name} changed from ${was} to ${is}`;
  return { kind, identityKey, text, record: `${was} > ${is}` };
}
