import { z } from 'zod';
import * as f from './fields.js';

/** Kebab-case keys of the file as camelCase names of the model. */
type CamelCase<Text extends string> = Text extends `${infer Head}-${infer Tail}`
  ? `${Head}${Capitalize<CamelCase<Tail>>}`
  : Text;
type CamelKeys<Table> = { readonly [Key in keyof Table as CamelCase<Key & string>]: Table[Key] };

function camelKeys<Table extends object>(table: Table): CamelKeys<Table> {
  const entries = Object.entries(table).map(([key, value]) => [
    key.replace(/-([a-z])/g, (_, letter: string) => letter.toUpperCase()),
    value,
  ]);
  return Object.fromEntries(entries) as CamelKeys<Table>;
}

/** A strict table: unknown keys are faults. The shape is kept for naming the known keys. */
function table<Shape extends z.ZodRawShape>(shape: Shape) {
  return z.strictObject(shape).transform((value) => camelKeys(value));
}

const bought = {
  price: f.money().optional(),
  bought: f.day().optional(),
  seller: f.words().optional(),
  'return-by': f.day().optional(),
  'warranty-until': f.day().optional(),
};

const port = {
  id: f.portId(),
  link: f.quantity('link').optional(),
  rated: f.quantity('link').optional(),
  'multiplier-of': f.reference().optional(),
};

const kind = () => f.oneOf(['disk', 'network']);

/** Layouts of arrays that a model can name. */
export const arrayLayouts = [
  'single',
  'mirror',
  'raid0',
  'raid1',
  'raid5',
  'raid6',
  'raid10',
  'raidz1',
  'raidz2',
  'raidz3',
] as const;

const pciEnd = {
  generation: f.generation().optional(),
  lanes: f.lanes().optional(),
  payload: f.payload().optional(),
  pci: f.words().optional(),
  'hardware-address': f.words().optional(),
};

/** Keys of each table that stands once in a file. */
export const singleShapes = {
  box: {
    name: f.words().optional(),
    currency: f.words().optional(),
    'burn-in-from-page': f.yesOrNo().optional(),
  },
  memory: {
    modules: f.count().optional(),
    size: f.quantity('memory').optional(),
    ecc: f.yesOrNo().optional(),
  },
  power: {
    'supply-watts': f.amount('watts from 0 to 5000', 5000).optional(),
    'tariff-per-kwh': f.money().optional(),
    'hours-per-day': f.amount('hours from 0 to 24', 24).optional(),
  },
  budget: { limit: f.money().optional() },
} as const;

/** Keys of each table that stands once per part. Ports are a list of tables within. */
export const listShapes = {
  'chipset-link': { id: f.id(), generation: f.generation(), lanes: f.lanes() },
  slot: {
    id: f.id(),
    size: f.lanes(),
    wired: f.lanes(),
    generation: f.generation(),
    payload: f.payload().optional(),
    behind: f.reference().optional(),
    pci: f.words().optional(),
  },
  controller: {
    id: f.id(),
    kind: kind(),
    behind: f.reference().optional(),
    model: f.words().optional(),
    ports: z.array(table(port)).optional(),
    ...pciEnd,
  },
  card: {
    id: f.id(),
    kind: kind(),
    slot: f.reference().optional(),
    model: f.words().optional(),
    ports: z.array(table(port)).optional(),
    ...pciEnd,
    ...bought,
  },
  cable: {
    id: f.id(),
    ports: z.array(f.reference()).optional(),
    from: f.reference().optional(),
    to: f.reference().optional(),
    rated: f.quantity('link').optional(),
    ...bought,
  },
  backplane: {
    id: f.id(),
    ports: z.array(f.reference()),
    bays: z.array(f.words()),
    'uplink-lanes': f.lanes().optional(),
    link: f.quantity('link').optional(),
    ...bought,
  },
  drive: {
    serial: f.serial(),
    model: f.words().optional(),
    class: f.words().optional(),
    capacity: f.quantity('capacity'),
    'outer-rate': f.quantity('rate').optional(),
    port: f.reference().optional(),
    slot: f.reference().optional(),
    bay: f.words().optional(),
    'power-lead': f.reference().optional(),
    role: f.oneOf(['array', 'system', 'scratch', 'spare']).optional(),
    'holds-data': f.yesOrNo().optional(),
    generation: f.generation().optional(),
    lanes: f.lanes().optional(),
    pci: f.words().optional(),
    batch: f.words().optional(),
    'start-amperes': f.amount('amperes from 0 to 20', 20).optional(),
    'work-watts': f.amount('watts from 0 to 100', 100).optional(),
    'bits-per-unreadable': f.errorBits().optional(),
    ...bought,
  },
  array: {
    name: f.id(),
    layout: f.oneOf(arrayLayouts),
    members: z.array(f.reference()),
    record: f.quantity('block').optional(),
    sector: f.quantity('block').optional(),
  },
  'power-lead': {
    id: f.id(),
    connector: f.oneOf(['sata', 'four-pin']),
    moulded: f.yesOrNo().optional(),
    feeds: z.array(f.reference()),
  },
  switch: { id: f.id(), ports: z.array(table(port)).optional(), ...bought },
  client: {
    name: f.id(),
    link: f.quantity('link'),
    from: f.reference().optional(),
    through: z.array(f.reference()).optional(),
    mtu: f.mtu().optional(),
    vlan: f.yesOrNo().optional(),
    'ip-version': f.ipVersion().optional(),
  },
} as const;

export const portKeys: readonly string[] = Object.keys(port);

/** One schema per table, made from the shapes above. */
export const singleSchemas = {
  box: table(singleShapes.box),
  memory: table(singleShapes.memory),
  power: table(singleShapes.power),
  budget: table(singleShapes.budget),
};

export const listSchemas = {
  'chipset-link': table(listShapes['chipset-link']),
  slot: table(listShapes.slot),
  controller: table(listShapes.controller),
  card: table(listShapes.card),
  cable: table(listShapes.cable),
  backplane: table(listShapes.backplane),
  drive: table(listShapes.drive),
  array: table(listShapes.array),
  'power-lead': table(listShapes['power-lead']),
  switch: table(listShapes.switch),
  client: table(listShapes.client),
};

export type ListName = keyof typeof listSchemas;
export type SingleName = keyof typeof singleSchemas;
/** One entry of a list table, and the one table of a name, as the model holds them. */
export type Entry<Name extends ListName> = z.output<(typeof listSchemas)[Name]>;
export type Single<Name extends SingleName> = z.output<(typeof singleSchemas)[Name]>;

export type ModelSlot = Entry<'slot'>;
export type ModelController = Entry<'controller'>;
export type ModelCard = Entry<'card'>;
export type ModelDrive = Entry<'drive'>;
export type ModelArray = Entry<'array'>;
export type ModelChipsetLink = Entry<'chipset-link'>;
export type ModelPort = NonNullable<ModelController['ports']>[number];
