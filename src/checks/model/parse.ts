import type { z } from 'zod';
import { type ModelComplaint, showFound, showPath } from './complaint.js';
import { type Located, lineAt, plainValue, readLocated } from './located.js';
import { nearestName } from './nearest-name.js';
import { ComplaintList, type RawEntry } from './raw-entry.js';
import { checkReferences } from './references.js';
import {
  type Entry,
  type ListName,
  listSchemas,
  listShapes,
  type ModelArray,
  type ModelCard,
  type ModelChipsetLink,
  type ModelController,
  type ModelDrive,
  type ModelSlot,
  portKeys,
  type Single,
  type SingleName,
  singleSchemas,
  singleShapes,
} from './schema.js';
import { checkWiring } from './wiring.js';

/**
 * The build model: capacities and sizes in bytes, rates in bytes per second, links in bits per
 * second, prices in the box's currency, days as YYYY-MM-DD. Lists are empty when the file has none.
 */
export interface BoxModel {
  readonly box: Single<'box'>;
  readonly memory: Single<'memory'>;
  readonly power: Single<'power'>;
  readonly budget: Single<'budget'>;
  readonly chipsetLinks: readonly ModelChipsetLink[];
  readonly slots: readonly ModelSlot[];
  readonly controllers: readonly ModelController[];
  readonly cards: readonly ModelCard[];
  readonly cables: readonly Entry<'cable'>[];
  readonly backplanes: readonly Entry<'backplane'>[];
  readonly drives: readonly ModelDrive[];
  readonly arrays: readonly ModelArray[];
  readonly powerLeads: readonly Entry<'power-lead'>[];
  readonly switches: readonly Entry<'switch'>[];
  readonly clients: readonly Entry<'client'>[];
}

const entriesMax = 500;

/**
 * Reads a build model from TOML text. Returns the model, or every fault of the file at once, each
 * with line, key, what was expected and found, and the nearest known name. Nothing is guessed and
 * nothing is thrown, whatever the text is. `fileName` stands in front of each complaint's text.
 */
export function parseModel(
  text: string,
  fileName: string,
): { readonly model: BoxModel } | { readonly complaints: readonly ModelComplaint[] } {
  const read = readLocated(text);
  if ('complaints' in read) return { complaints: named(read.complaints, fileName) };
  const complaints = new ComplaintList();
  const parsed = new Map<string, unknown[]>();
  const entries: RawEntry[] = [];
  for (const [name, located] of read.root.entries) {
    parsed.set(name, readTable({ name, located, root: read.root }, { complaints, entries }));
  }
  checkReferences(entries, complaints);
  checkWiring(entries, complaints);
  const list = complaints.sorted();
  return list.length > 0 ? { complaints: named(list, fileName) } : { model: toModel(parsed) };
}

function named(list: readonly ModelComplaint[], fileName: string): readonly ModelComplaint[] {
  return list.map((one) => ({ ...one, text: `${fileName}: ${one.text}` }));
}

interface TopTable {
  readonly name: string;
  readonly located: Located;
  readonly root: Located;
}

interface Found {
  readonly complaints: ComplaintList;
  readonly entries: RawEntry[];
}

function readTable(table: TopTable, found: Found): unknown[] {
  const { name, located } = table;
  if (Object.hasOwn(singleSchemas, name)) {
    if (located.kind !== 'table') return refuseForm(table, `one table [${name}]`, found);
    return decode([name], singleSchemas[name as SingleName], { table, value: located, found });
  }
  if (!Object.hasOwn(listSchemas, name)) return refuseName(table, found);
  const form = `tables written [[${name}]]`;
  if (located.kind !== 'list') return refuseForm(table, form, found);
  if (located.items.length > entriesMax) {
    return refuseForm(table, `at most ${entriesMax} ${form}`, found);
  }
  return located.items.flatMap((item, index) => {
    if (item.kind !== 'table') return refuseForm(table, form, found);
    found.entries.push({ table: name as ListName, index, located: item });
    return decode([name, index], listSchemas[name as ListName], { table, value: item, found });
  });
}

function refuseForm({ name, located }: TopTable, expected: string, found: Found): [] {
  found.complaints.add(() => ({
    line: located.line,
    key: name.slice(0, 60),
    expected,
    found: showFound(plainKind(located)),
  }));
  return [];
}

function plainKind(located: Located): unknown {
  return located.kind === 'value' ? located.value : plainValue(located);
}

function refuseName({ name, located }: TopTable, found: Found): [] {
  const known = [...Object.keys(singleSchemas), ...Object.keys(listSchemas)];
  found.complaints.add(() => ({
    line: located.line,
    key: name.slice(0, 60),
    expected: `a known table: ${known.join(', ')}`,
    found: showFound(name),
    nearest: nearestName(name, known),
  }));
  return [];
}

interface DecodeInput {
  readonly table: TopTable;
  readonly value: Located;
  readonly found: Found;
}

function decode(path: readonly PropertyKey[], schema: z.ZodType, input: DecodeInput): unknown[] {
  const result = schema.safeParse(plainValue(input.value), { reportInput: true });
  if (result.success) return [result.data];
  for (const issue of result.error.issues) report(issue, path, input);
  return [];
}

function report(
  issue: z.core.$ZodIssue,
  start: readonly PropertyKey[],
  { table, found }: DecodeInput,
): void {
  const path = [...start, ...issue.path];
  if (issue.code === 'unrecognized_keys') {
    for (const key of issue.keys) reportKey(key, path, { table, found });
    return;
  }
  found.complaints.add(() => ({
    line: lineAt(table.root, path),
    key: showPath(path),
    expected: expectedWords(issue),
    found: showFound(issue.input),
  }));
}

function expectedWords(issue: z.core.$ZodIssue): string {
  if (issue.code === 'custom') return issue.message;
  if (issue.code === 'invalid_type' && issue.expected === 'array') return 'a list';
  return issue.code === 'invalid_type' && issue.expected === 'object' ? 'a table' : issue.message;
}

function reportKey(
  key: string,
  path: readonly PropertyKey[],
  { table, found }: Omit<DecodeInput, 'value'>,
): void {
  const known = path.includes('ports') ? portKeys : Object.keys(shapeOf(table.name));
  found.complaints.add(() => ({
    line: lineAt(table.root, [...path, key]),
    key: showPath([...path, key.slice(0, 60)]),
    expected: `one of the keys ${known.join(', ')}`,
    found: `the key ${showFound(key)}`,
    nearest: nearestName(key, known),
  }));
}

function shapeOf(name: string): object {
  if (Object.hasOwn(singleShapes, name)) return singleShapes[name as SingleName];
  return listShapes[name as ListName];
}

/** The maps hold what the schemas of the same names gave back, which is what BoxModel says. */
function toModel(parsed: ReadonlyMap<string, unknown[]>): BoxModel {
  const one = (name: SingleName) => parsed.get(name)?.[0] ?? {};
  const all = (name: ListName) => parsed.get(name) ?? [];
  return {
    box: one('box'),
    memory: one('memory'),
    power: one('power'),
    budget: one('budget'),
    chipsetLinks: all('chipset-link'),
    slots: all('slot'),
    controllers: all('controller'),
    cards: all('card'),
    cables: all('cable'),
    backplanes: all('backplane'),
    drives: all('drive'),
    arrays: all('array'),
    powerLeads: all('power-lead'),
    switches: all('switch'),
    clients: all('client'),
  } as BoxModel;
}
