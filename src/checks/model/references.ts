import { showFound, showPath } from './complaint.js';
import { nearestName } from './nearest-name.js';
import {
  type ComplaintList,
  type PlacedText,
  portTextsAt,
  type RawEntry,
  textAt,
  textsAt,
} from './raw-entry.js';
import type { ListName } from './schema.js';

/** Tables whose entries share one space of ids, because ports and stages are named by them. */
const partTables: readonly ListName[] = [
  'chipset-link',
  'slot',
  'controller',
  'card',
  'cable',
  'backplane',
  'power-lead',
  'switch',
];

interface Names {
  readonly chipsetLinks: ReadonlySet<string>;
  readonly slots: ReadonlySet<string>;
  readonly cables: ReadonlySet<string>;
  readonly powerLeads: ReadonlySet<string>;
  readonly switches: ReadonlySet<string>;
  readonly serials: ReadonlySet<string>;
  readonly diskPorts: ReadonlySet<string>;
  readonly networkPorts: ReadonlySet<string>;
  readonly switchPorts: ReadonlySet<string>;
}

/**
 * Looks at what the entries of a file say about each other: ids given twice and references to
 * parts that are not in the file. Works on raw entries, so that one broken key hides no other.
 */
export function checkReferences(entries: readonly RawEntry[], complaints: ComplaintList): void {
  checkIds(entries, complaints);
  const names = collectNames(entries);
  for (const entry of entries) {
    for (const { text, known, what } of referencesOf(entry, names)) {
      if (known.has(text.text)) continue;
      complaints.add(() => ({
        line: text.line,
        key: showPath(text.path),
        expected: what,
        found: showFound(text.text),
        nearest: nearestName(text.text, known),
      }));
    }
  }
}

/** Reports the second of two equal texts. */
export function checkOnce(
  texts: readonly PlacedText[],
  expected: string,
  complaints: ComplaintList,
): void {
  const first = new Map<string, PlacedText>();
  for (const placed of texts) {
    const before = first.get(placed.text);
    if (before === undefined) {
      first.set(placed.text, placed);
      continue;
    }
    complaints.add(() => ({
      line: placed.line,
      key: showPath(placed.path),
      expected,
      found: `${showFound(placed.text)} again, as in line ${before.line}`,
    }));
  }
}

function checkIds(entries: readonly RawEntry[], complaints: ComplaintList): void {
  const ids = (tables: readonly ListName[], key: string) =>
    entries.flatMap((entry) => {
      const text = tables.includes(entry.table) ? textAt(entry, key) : null;
      return text === null ? [] : [text];
    });
  checkOnce(ids(partTables, 'id'), 'an id that no other part has', complaints);
  checkOnce(ids(['drive'], 'serial'), 'a serial that no other drive has', complaints);
  checkOnce(ids(['array'], 'name'), 'a name that no other array has', complaints);
  checkOnce(ids(['client'], 'name'), 'a name that no other client has', complaints);
  for (const entry of entries) {
    checkOnce(portTextsAt(entry, 'id'), 'a port id that this part has once', complaints);
  }
}

function collectNames(entries: readonly RawEntry[]): Names {
  const named = (table: ListName, key = 'id') =>
    new Set(entries.flatMap((entry) => (entry.table === table ? textOf(entry, key) : [])));
  return {
    chipsetLinks: named('chipset-link'),
    slots: named('slot'),
    cables: named('cable'),
    powerLeads: named('power-lead'),
    switches: named('switch'),
    serials: named('drive', 'serial'),
    diskPorts: portNames(entries, (entry) => holdsPorts(entry) && kindOf(entry) !== 'network'),
    networkPorts: portNames(entries, (entry) => holdsPorts(entry) && kindOf(entry) !== 'disk'),
    switchPorts: portNames(entries, (entry) => entry.table === 'switch'),
  };
}

function textOf(entry: RawEntry, key: string): readonly string[] {
  const placed = textAt(entry, key);
  return placed === null ? [] : [placed.text];
}

function holdsPorts(entry: RawEntry): boolean {
  return entry.table === 'controller' || entry.table === 'card';
}

function kindOf(entry: RawEntry): string | null {
  return textAt(entry, 'kind')?.text ?? null;
}

function portNames(
  entries: readonly RawEntry[],
  wanted: (entry: RawEntry) => boolean,
): ReadonlySet<string> {
  const names = entries.filter(wanted).flatMap((entry) => {
    const part = textAt(entry, 'id')?.text;
    return portTextsAt(entry, 'id').map((port) => `${part ?? ''}.${port.text}`);
  });
  return new Set(names);
}

interface Reference {
  readonly text: PlacedText;
  readonly known: ReadonlySet<string>;
  readonly what: string;
}

function referencesOf(entry: RawEntry, names: Names): readonly Reference[] {
  const single = (key: string, known: ReadonlySet<string>, what: string) => {
    const text = textAt(entry, key);
    return text === null ? [] : [{ text, known, what }];
  };
  const list = (key: string, known: ReadonlySet<string>, what: string) =>
    textsAt(entry, key).map((text) => ({ text, known, what }));
  const diskPort = 'a disk port written CONTROLLER-OR-CARD-ID.PORT-ID';
  switch (entry.table) {
    case 'slot':
    case 'controller':
      return [
        ...single('behind', names.chipsetLinks, 'the id of a chipset-link'),
        ...multiplierReferences(entry),
      ];
    case 'card':
      return [...single('slot', names.slots, 'the id of a slot'), ...multiplierReferences(entry)];
    case 'drive':
      return [
        ...single('port', names.diskPorts, diskPort),
        ...single('slot', names.slots, 'the id of a slot'),
        ...single('power-lead', names.powerLeads, 'the id of a power-lead'),
      ];
    case 'array':
      return list('members', names.serials, 'the serial of a drive in this file');
    case 'cable': {
      const ends = new Set([...names.networkPorts, ...names.switchPorts]);
      return [
        ...list('ports', names.diskPorts, diskPort),
        ...single('from', ends, 'a network port written PART-ID.PORT-ID'),
        ...single('to', ends, 'a network port written PART-ID.PORT-ID'),
      ];
    }
    case 'backplane':
      return list('ports', names.diskPorts, diskPort);
    case 'power-lead': {
      const fed = new Set([...names.serials, ...names.powerLeads]);
      return list('feeds', fed, 'the serial of a drive or the id of a power-lead');
    }
    case 'client':
      return [
        ...single('from', names.networkPorts, 'a network port written CARD-ID.PORT-ID'),
        ...list('through', names.switches, 'the id of a switch'),
      ];
    default:
      return [];
  }
}

function multiplierReferences(entry: RawEntry): readonly Reference[] {
  const known = new Set(portTextsAt(entry, 'id').map((port) => port.text));
  return portTextsAt(entry, 'multiplier-of').map((text) => ({
    text,
    known,
    what: 'the id of a port of the same part',
  }));
}
