import { type AST, ParseError, parseTOML } from 'toml-eslint-parser';
import { complain, type ModelComplaint } from './complaint.js';

/** A value of the file together with the line it starts on. Tables are maps: no name is special. */
export type Located =
  | { readonly kind: 'table'; readonly line: number; readonly entries: Map<string, Located> }
  | { readonly kind: 'list'; readonly line: number; readonly items: Located[] }
  | { readonly kind: 'value'; readonly line: number; readonly value: string | number | boolean };

type LocatedTable = Extract<Located, { kind: 'table' }>;

const charactersMax = 256 * 1024;
const depthMax = 12;

/**
 * Reads TOML into values with their lines. A file that is too large, too deep or not TOML gives
 * complaints; nothing is thrown for bad text. TOML 1.0 (toml.io).
 */
export function readLocated(
  text: string,
): { readonly root: LocatedTable } | { readonly complaints: readonly ModelComplaint[] } {
  const refused = refuseText(text);
  if (refused !== null) return { complaints: [refused] };
  try {
    const [body] = parseTOML(text, { tomlVersion: '1.0' }).body;
    return { root: topLevel(body) };
  } catch (error) {
    return { complaints: [syntaxComplaint(error)] };
  }
}

/** The plain value of a located one, in objects without a prototype. */
export function plainValue(located: Located): unknown {
  if (located.kind === 'value') return located.value;
  if (located.kind === 'list') return located.items.map(plainValue);
  const table: Record<string, unknown> = Object.create(null);
  for (const [key, entry] of located.entries) {
    Object.defineProperty(table, key, { value: plainValue(entry), enumerable: true });
  }
  return table;
}

/** Line of the deepest value on this path that is in the file. */
export function lineAt(root: Located, path: readonly PropertyKey[]): number {
  let here: Located = root;
  for (const step of path) {
    const next = stepInto(here, step);
    if (next === undefined) break;
    here = next;
  }
  return here.line;
}

function stepInto(located: Located, step: PropertyKey): Located | undefined {
  if (located.kind === 'table') return located.entries.get(String(step));
  return located.kind === 'list' ? located.items[Number(step)] : undefined;
}

function refuseText(text: string): ModelComplaint | null {
  const whole = { line: 1, key: '' };
  if (text.length > charactersMax) {
    const expected = `at most ${charactersMax} characters`;
    return complain({ ...whole, expected, found: `${text.length} characters` });
  }
  const zero = text.indexOf('\0');
  if (zero < 0) return null;
  const line = text.slice(0, zero).split('\n').length;
  return complain({ line, key: '', expected: 'plain text in TOML form', found: 'a zero byte' });
}

function syntaxComplaint(error: unknown): ModelComplaint {
  if (error instanceof ParseError) {
    const found = error.message.charAt(0).toLowerCase() + error.message.slice(1);
    return complain({ line: error.lineNumber, key: '', expected: 'TOML', found });
  }
  if (error instanceof TooDeep) {
    const expected = `values nested at most ${depthMax} deep`;
    return complain({ line: error.line, key: '', expected, found: 'deeper ones' });
  }
  if (error instanceof RangeError) {
    const expected = 'TOML of ordinary length and depth';
    return complain({ line: 1, key: '', expected, found: 'a value that is too long or too deep' });
  }
  throw error;
}

class TooDeep extends Error {
  readonly line: number;
  constructor(line: number) {
    super('Values are nested too deep');
    this.line = line;
  }
}

function topLevel(body: AST.TOMLTopLevelTable): LocatedTable {
  const root: LocatedTable = { kind: 'table', line: 1, entries: new Map() };
  for (const node of body.body) {
    if (node.type === 'TOMLKeyValue') {
      put(root, node);
    } else {
      const target = tableFor(root, node);
      for (const entry of node.body) put(target, entry);
    }
  }
  return root;
}

/** Follows a table's header from the root, making what is not there yet. */
function tableFor(root: LocatedTable, node: AST.TOMLTable): LocatedTable {
  const line = node.loc.start.line;
  if (node.resolvedKey.length > depthMax) throw new TooDeep(line);
  let here: Located = root;
  node.resolvedKey.forEach((step, index) => {
    const listNext = typeof node.resolvedKey[index + 1] === 'number';
    const made: Located = listNext
      ? { kind: 'list', line, items: [] }
      : { kind: 'table', line, entries: new Map() };
    here = stepInto(here, step) ?? addTo(here, step, made);
  });
  return here.kind === 'table' ? here : root;
}

function addTo(parent: Located, step: string | number, made: Located): Located {
  if (parent.kind === 'table') parent.entries.set(String(step), made);
  if (parent.kind === 'list') parent.items.push(made);
  return made;
}

function put(table: LocatedTable, node: AST.TOMLKeyValue, depth = 0): void {
  const line = node.loc.start.line;
  const names = node.key.keys.map((key) => (key.type === 'TOMLBare' ? key.name : key.value));
  if (names.length + depth > depthMax) throw new TooDeep(line);
  let here: Located = table;
  for (const name of names.slice(0, -1)) {
    const next: Located = { kind: 'table', line, entries: new Map() };
    here = stepInto(here, name) ?? addTo(here, name, next);
  }
  addTo(here, names.at(-1) ?? '', content(node.value, depth + names.length));
}

function content(node: AST.TOMLContentNode, depth: number): Located {
  const line = node.loc.start.line;
  if (depth > depthMax) throw new TooDeep(line);
  if (node.type === 'TOMLArray') {
    return { kind: 'list', line, items: node.elements.map((item) => content(item, depth + 1)) };
  }
  if (node.type === 'TOMLInlineTable') {
    const table: LocatedTable = { kind: 'table', line, entries: new Map() };
    for (const entry of node.body) put(table, entry, depth + 1);
    return table;
  }
  const value = node.value instanceof Date && 'datetime' in node ? node.datetime : node.value;
  return { kind: 'value', line, value: value instanceof Date ? value.toISOString() : value };
}
