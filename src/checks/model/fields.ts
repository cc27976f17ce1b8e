import { z } from 'zod';
import { parseQuantity, type QuantityKind } from './quantity.js';

/** Names that stand for parts that every box has; no other part may take them. */
export const reservedIds = ['memory', 'processor'] as const;

const idForm = /^[A-Za-z0-9][A-Za-z0-9_:-]{0,63}$/;
const dayForm = /^\d{4}-\d{2}-\d{2}$/;
const laneCounts: readonly number[] = [1, 2, 4, 8, 12, 16, 32];
const serialLengthMax = 120;

/** A field whose value must pass `read`; anything else is a complaint with what was expected. */
function field<Value>(expected: string, read: (value: unknown) => Value | undefined) {
  return z.unknown().transform((value, context): Value => {
    const result = read(value);
    if (result === undefined) {
      context.issues.push({ code: 'custom', message: expected, input: value });
      return z.NEVER;
    }
    return result;
  });
}

function text(expected: string, fits: (value: string) => boolean) {
  return field(expected, (value) => (typeof value === 'string' && fits(value) ? value : undefined));
}

function number(expected: string, fits: (value: number) => boolean) {
  return field(expected, (value) =>
    typeof value === 'number' && Number.isFinite(value) && fits(value) ? value : undefined,
  );
}

/** A part's id: letters, digits, `-`, `_` and `:`; no dot, which parts a port from its part. */
export const id = () =>
  text(
    'an id of letters, digits and dashes (not "memory" or "processor")',
    (value) => idForm.test(value) && !reservedIds.some((reserved) => reserved === value),
  );

/** A port's id within its part; the same letters, and no name is reserved. */
export const portId = () =>
  text('a port id of letters, digits and dashes', (value) => idForm.test(value));

/** The name of another part; whether that part exists is looked at later. */
export const reference = () => text('the id of a part', isPlainText);

/** Any short text on one line. */
export const words = () => text('a text on one line', isPlainText);

export const serial = () =>
  text('the serial number printed on the drive', (value) => isPlainText(value));

export const day = () =>
  text('a day such as 2026-03-31', (value) => dayForm.test(value) && isDay(value));

export const yesOrNo = () =>
  field('true or false', (value) => (typeof value === 'boolean' ? value : undefined));

export const lanes = () =>
  number(`a number of lanes: ${laneCounts.join(', ')}`, (value) => laneCounts.includes(value));

export const generation = () =>
  number('a PCI Express generation from 1 to 5', (value) => [1, 2, 3, 4, 5].includes(value));

/** Payload sizes that PCI Express allows. */
export const payload = () =>
  number('a packet payload of 128, 256, 512, 1024, 2048 or 4096 bytes', (value) =>
    [128, 256, 512, 1024, 2048, 4096].includes(value),
  );

export const mtu = () =>
  number(
    'a largest packet of 576 to 9216 bytes',
    (value) => Number.isInteger(value) && value >= 576 && value <= 9216,
  );

export const ipVersion = () =>
  field('4 or 6', (value) => (value === 4 || value === 6 ? value : undefined));

/** As data sheets print it: one unreadable sector in so many bits read. */
export const errorBits = () =>
  number(
    'bits read per unreadable sector, 1e12 to 1e20',
    (value) => value >= 1e12 && value <= 1e20,
  );

export const count = () =>
  number(
    'a whole number from 1 to 64',
    (value) => Number.isInteger(value) && value > 0 && value <= 64,
  );

export const money = () => number('an amount of money, 0 or more', (value) => value >= 0);

export const amount = (expected: string, largest: number) =>
  number(expected, (value) => value >= 0 && value <= largest);

export const quantity = (kind: QuantityKind) => {
  const wanted = parseQuantity(undefined, kind);
  const expected = 'expected' in wanted ? wanted.expected : '';
  return field(expected, (value) => {
    const parsed = parseQuantity(value, kind);
    return 'amount' in parsed ? parsed.amount : undefined;
  });
};

export const oneOf = <const Names extends readonly string[]>(names: Names) => {
  const expected = `one of ${names.map((name) => `"${name}"`).join(', ')}`;
  return field(expected, (value) => names.find((name): name is Names[number] => name === value));
};

function isPlainText(value: string): boolean {
  const printable = ![...value].some((letter) => letter < ' ' || letter === '\u007f');
  return value.trim() !== '' && value.length <= serialLengthMax && printable;
}

function isDay(value: string): boolean {
  const time = Date.parse(`${value}T00:00:00Z`);
  return Number.isFinite(time) && new Date(time).toISOString().startsWith(value);
}
