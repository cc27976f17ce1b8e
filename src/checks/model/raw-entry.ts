import { type ComplaintFacts, complain, type ModelComplaint } from './complaint.js';
import type { Located } from './located.js';
import type { ListName } from './schema.js';

/** One `[[table]]` of the file before it is known to be valid. `index` counts from 0. */
export interface RawEntry {
  readonly table: ListName;
  readonly index: number;
  readonly located: Extract<Located, { kind: 'table' }>;
}

/** A text of the file with its place. */
export interface PlacedText {
  readonly text: string;
  readonly line: number;
  readonly path: readonly PropertyKey[];
}

/** The text under a key of an entry, or null when there is none or it is no text. */
export function textAt(entry: RawEntry, key: string): PlacedText | null {
  const found = entry.located.entries.get(key);
  if (found?.kind !== 'value' || typeof found.value !== 'string') return null;
  return { text: found.value, line: found.line, path: [entry.table, entry.index, key] };
}

/** The finite number under a key of an entry, or null. */
export function numberAt(entry: RawEntry, key: string): number | null {
  const found = entry.located.entries.get(key);
  return found?.kind === 'value' && typeof found.value === 'number' ? found.value : null;
}

/** The texts of a list under a key of an entry; empty when there is no such list. */
export function textsAt(entry: RawEntry, key: string): readonly PlacedText[] {
  const found = entry.located.entries.get(key);
  if (found?.kind !== 'list') return [];
  return found.items.flatMap((item, at) =>
    item.kind === 'value' && typeof item.value === 'string'
      ? [{ text: item.value, line: item.line, path: [entry.table, entry.index, key, at] }]
      : [],
  );
}

/** The texts under `key` of the tables in an entry's `ports` list. */
export function portTextsAt(entry: RawEntry, key: string): readonly PlacedText[] {
  const found = entry.located.entries.get('ports');
  if (found?.kind !== 'list') return [];
  return found.items.flatMap((item, at) => {
    const value = item.kind === 'table' ? item.entries.get(key) : undefined;
    if (value?.kind !== 'value' || typeof value.value !== 'string') return [];
    const path = [entry.table, entry.index, 'ports', at, key];
    return [{ text: value.value, line: value.line, path }];
  });
}

const complaintsMax = 200;

/** Collects complaints up to a limit, so that a hostile file costs neither time nor memory. */
export class ComplaintList {
  readonly #complaints: ModelComplaint[] = [];
  #dropped = 0;

  /** `facts` is a function: naming the nearest known name is only paid for what is kept. */
  add(facts: () => ComplaintFacts): void {
    if (this.#complaints.length >= complaintsMax) {
      this.#dropped += 1;
      return;
    }
    this.#complaints.push(complain(facts()));
  }

  /** All of them in the order of their lines. */
  sorted(): readonly ModelComplaint[] {
    const sorted = [...this.#complaints].sort((one, other) => one.line - other.line);
    const last = sorted.at(-1);
    if (this.#dropped === 0 || last === undefined) return sorted;
    const expected = `at most ${complaintsMax} faults to list`;
    return [
      ...sorted,
      complain({ line: last.line, key: '', expected, found: `${this.#dropped} more` }),
    ];
  }
}
