import { Chance, type WrittenEntry, writeModel } from './random-model.js';

/** A file with exactly one fault, and where its complaint must stand. */
export interface BrokenModel {
  readonly fault: string;
  readonly text: string;
  readonly line: number;
  readonly key: string;
}

/** Changes a key of an entry; null where the model has nothing to break so. */
type Plant = (entries: readonly WrittenEntry[], chance: Chance) => Planted | null;

interface Planted {
  readonly entries: readonly WrittenEntry[];
  /** The entry as changed, the key whose line is meant (the entry's own line when left out). */
  readonly entry: WrittenEntry;
  readonly lineKey?: string;
  /** The key as a complaint names it, after TABLE[n]. */
  readonly named: string;
}

function change(
  entries: readonly WrittenEntry[],
  entry: WrittenEntry,
  keys: WrittenEntry['keys'],
): { readonly entries: readonly WrittenEntry[]; readonly entry: WrittenEntry } {
  const changed = { ...entry, keys };
  return { entries: entries.map((one) => (one === entry ? changed : one)), entry: changed };
}

function withValue(entry: WrittenEntry, key: string, value: string): WrittenEntry['keys'] {
  return entry.keys.map((pair) => (pair[0] === key ? [key, value] : pair));
}

function having(entries: readonly WrittenEntry[], table: string, key: string) {
  return entries.filter((one) => one.table === table && one.keys.some(([name]) => name === key));
}

/** Sets a key of some entry that has it to a value that cannot stand there. */
function wrongValue(table: string, key: string, value: string, named = key): Plant {
  return (entries, chance) => {
    const fitting = having(entries, table, key);
    if (fitting.length === 0) return null;
    const entry = chance.of(fitting);
    return { ...change(entries, entry, withValue(entry, key, value)), lineKey: key, named };
  };
}

function missing(table: string, key: string): Plant {
  return (entries, chance) => {
    const fitting = having(entries, table, key);
    if (fitting.length === 0) return null;
    const entry = chance.of(fitting);
    const rest = entry.keys.filter(([name]) => name !== key);
    return { ...change(entries, entry, rest), named: key };
  };
}

/** Gives the second entry the value that the first one has. */
function twice(table: string, key: string): Plant {
  return (entries) => {
    const [first, second] = having(entries, table, key);
    const value = first?.keys.find(([name]) => name === key)?.[1];
    if (second === undefined || value === undefined) return null;
    return { ...change(entries, second, withValue(second, key, value)), lineKey: key, named: key };
  };
}

const unknownKey: Plant = (entries, chance) => {
  const fitting = entries.filter(({ keys, single }) => keys.length > 0 && !single);
  if (fitting.length === 0) return null;
  const entry = chance.of(fitting);
  return {
    ...change(entries, entry, [...entry.keys, ['colour', '"grey"']]),
    lineKey: 'colour',
    named: 'colour',
  };
};

const wiredTooWide: Plant = (entries, chance) => {
  const slot = chance.of(having(entries, 'slot', 'size'));
  const keys = withValue({ ...slot, keys: withValue(slot, 'wired', '32') }, 'wired', '32');
  return { ...change(entries, slot, keys), lineKey: 'wired', named: 'wired' };
};

const inTwoArrays: Plant = (entries) => {
  const [array] = having(entries, 'array', 'members');
  const first = array?.keys.find(([name]) => name === 'members')?.[1].match(/"[^"]+"/)?.[0];
  if (array === undefined || first === undefined) return null;
  const again: WrittenEntry = {
    table: 'array',
    single: false,
    keys: [
      ['name', '"again"'],
      ['layout', '"single"'],
      ['members', `[${first}]`],
    ],
  };
  return { entries: [...entries, again], entry: again, lineKey: 'members', named: 'members[1]' };
};

const tooFewMembers: Plant = (entries, chance) => {
  const fitting = having(entries, 'array', 'layout');
  if (fitting.length === 0) return null;
  const array = chance.of(fitting);
  const [first] = array.keys.find(([name]) => name === 'members')?.[1].match(/"[^"]+"/) ?? [];
  const keys = withValue(
    { ...array, keys: withValue(array, 'layout', '"raid6"') },
    'members',
    `[${first}]`,
  );
  return { ...change(entries, array, keys), lineKey: 'members', named: 'members' };
};

const leadRing: Plant = (entries) => {
  const [lead] = having(entries, 'power-lead', 'feeds');
  if (lead === undefined) return null;
  const id = lead.keys.find(([name]) => name === 'id')?.[1] ?? '';
  return {
    ...change(entries, lead, withValue(lead, 'feeds', `[${id}]`)),
    lineKey: 'id',
    named: 'feeds',
  };
};

/** Every kind of fault that a model file can have, each planted alone. */
export const plants: Readonly<Record<string, Plant>> = {
  'unknown key': unknownKey,
  'capacity without a unit': wrongValue('drive', 'capacity', '"8"'),
  'capacity as a bare number': wrongValue('drive', 'capacity', '8'),
  'a rate without a unit': wrongValue('drive', 'outer-rate', '"210"'),
  'an unknown port': wrongValue('drive', 'port', '"board-0.p77"'),
  'an unknown role': wrongValue('drive', 'role', '"storage"'),
  'a port used twice': twice('drive', 'port'),
  'a serial used twice': twice('drive', 'serial'),
  'no capacity': missing('drive', 'capacity'),
  'no serial': missing('drive', 'serial'),
  'impossible lanes': wrongValue('slot', 'size', '3'),
  'more lanes wired than fit': wiredTooWide,
  'an unknown generation': wrongValue('slot', 'generation', '9'),
  'an unknown chipset link': wrongValue('slot', 'behind', '"chipset-9"'),
  'an unknown payload': wrongValue('slot', 'payload', '100'),
  'no wired lanes': missing('slot', 'wired'),
  'an id used twice': twice('slot', 'id'),
  'an unknown slot': wrongValue('card', 'slot', '"slot-9"'),
  'a slot used twice': twice('card', 'slot'),
  'a price below nothing': wrongValue('card', 'price', '-5'),
  'a day that is none': wrongValue('card', 'bought', '"2026-02-30"'),
  'an unknown kind': wrongValue('card', 'kind', '"video"'),
  'an unknown layout': wrongValue('array', 'layout', '"raid7"'),
  'a missing member': wrongValue(
    'array',
    'members',
    '["NOT-THERE", "LK-X", "LK-Y", "LK-Z"]',
    'members[1]',
  ),
  'too few members': tooFewMembers,
  'a drive in two arrays': inTwoArrays,
  'leads in a ring': leadRing,
  'an unknown plug': wrongValue('power-lead', 'connector', '"round"'),
  'something unknown fed': wrongValue('power-lead', 'feeds', '["NOT-THERE"]', 'feeds[1]'),
  'a link without a unit': wrongValue('client', 'link', '"fast"'),
  'an unknown network port': wrongValue('client', 'from', '"card-9.p0"'),
  'packets too large': wrongValue('client', 'mtu', '99999'),
};

/** A sound model with one fault of a random kind that it has room for. */
export function breakModel(entries: readonly WrittenEntry[], seed: number): BrokenModel {
  const chance = new Chance(seed);
  const kinds = Object.entries(plants);
  for (;;) {
    const [fault, plant] = chance.of(kinds);
    const planted = plant(entries, chance);
    if (planted === null) continue;
    const { text, lineOf } = writeModel(planted.entries);
    const same = planted.entries.filter(({ table }) => table === planted.entry.table);
    const key = `${planted.entry.table}[${same.indexOf(planted.entry) + 1}].${planted.named}`;
    return { fault, text, line: lineOf(planted.entry, planted.lineKey), key };
  }
}
