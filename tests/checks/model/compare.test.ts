import { describe, expect, it } from 'vitest';
import { compareWithModel } from '../../../src/checks/model/compare.js';
import { nameParts } from '../../../src/checks/model/name-parts.js';
import { editDistance, nearestName } from '../../../src/checks/model/nearest-name.js';
import { parseModel } from '../../../src/checks/model/parse.js';
import { parseQuantity, type QuantityKind } from '../../../src/checks/model/quantity.js';
import type { Inventory } from '../../../src/checks/part.js';
import { makeController, makeDrive, makeInventory } from './make-inventory.js';

const text = `[[controller]]
id = "board-sata"
kind = "disk"
pci = "00:17.0"
ports = [{ id = "1" }, { id = "2" }]

[[controller]]
id = "lan"
kind = "network"
hardware-address = "02:00:00:00:00:0A"

[[drive]]
serial = "LK-1"
model = "Larkspur  Archive 8000"
capacity = "8 TB"
port = "board-sata.1"
bay = "1"
`;

function model() {
  const parsed = parseModel(text, 'box.toml');
  if ('complaints' in parsed) throw new Error(parsed.complaints.map((one) => one.text).join('\n'));
  return parsed.model;
}

const sata = makeController({ id: 'disk-controller-00-17-0', pciAddress: '0000:00:17.0' });
const lan = makeController({
  kind: 'network-card',
  id: 'network-card-00-1f-6',
  hardwareAddress: '02:00:00:00:00:0a',
});
const drive = makeDrive({ id: 'LK-1', controller: sata.id, port: '1' });
const same = makeInventory({ controllers: [sata, lan], drives: [drive] });

function brief(change: Partial<Inventory>) {
  return compareWithModel(model(), { ...same, ...change }).map(
    ({ kind, subject, expected, found }) => [kind, subject, expected, found],
  );
}

describe('compareWithModel', () => {
  it('finds no difference in the same box', () => {
    expect(compareWithModel(model(), same)).toEqual([]);
  });

  it('tells missing, new, moved and different', () => {
    expect(brief({ drives: [] })).toEqual([['missing', 'LK-1', '8 TB, bay 1', null]]);
    expect(brief({ drives: [drive, makeDrive({ id: 'TV-9' })] })).toEqual([
      ['new', 'TV-9', null, 'Larkspur Archive 8000, 8 TB'],
    ]);
    expect(brief({ drives: [{ ...drive, port: '2' }] })).toEqual([
      ['moved', 'LK-1', 'board-sata.1', 'board-sata.2'],
    ]);
    expect(brief({ drives: [{ ...drive, model: 'Larkspur Archive 6000' }] })).toEqual([
      ['different', 'LK-1', 'Larkspur  Archive 8000', 'Larkspur Archive 6000'],
    ]);
    expect(brief({ controllers: [sata] })).toEqual([['missing', 'lan', '02:00:00:00:00:0A', null]]);
  });

  // 8 TB within 1.5 %: 7.88 to 8.12 TB.
  it.each([
    [7.88e12, 0],
    [7.87e12, 1],
    [8.12e12, 0],
    [8.13e12, 1],
  ])('capacity %d: %d differences', (capacityBytes, count) => {
    expect(brief({ drives: [{ ...drive, capacityBytes }] })).toHaveLength(count);
  });

  it('does not compare a place that the kernel does not tell', () => {
    expect(brief({ drives: [{ ...drive, controller: null, port: null }] })).toEqual([]);
  });

  it('says how to tie a new part to the model', () => {
    const other = makeController({ id: 'x', label: 'Another', pciAddress: '0000:05:00.0' });
    const [remark] = compareWithModel(model(), { ...same, controllers: [sata, lan, other] });
    expect(remark?.text).toContain('give that part pci = "0000:05:00.0"');
  });

  it('sees that another kind of part sits at an address', () => {
    const wrong = { ...sata, kind: 'network-card', label: 'Network card' } as const;
    expect(brief({ controllers: [wrong, lan] })).toEqual([
      ['different', 'board-sata', 'disk', 'Network card'],
    ]);
  });
});

describe('nameParts', () => {
  it('gives parts the ids of the model, and drives the new id of their controller', () => {
    const named = nameParts(model(), same);
    expect(named.controllers.map(({ id }) => id)).toEqual(['board-sata', 'lan']);
    expect(named.drives[0]).toMatchObject({ id: 'LK-1', controller: 'board-sata' });
    expect(named.controllers[0]?.identityKey).toBe(sata.identityKey);
  });

  it('leaves parts alone that the model does not know', () => {
    const other = makeController({ id: 'x', pciAddress: '0001:00:17.0' });
    expect(nameParts(model(), makeInventory({ controllers: [other] })).controllers).toEqual([
      other,
    ]);
  });
});

describe('quantities', () => {
  const cases: readonly [QuantityKind, string, number][] = [
    ['capacity', '8 TB', 8e12],
    ['capacity', '8TB', 8e12],
    ['capacity', '500.1 GB', 500.1e9],
    ['capacity', '1 TiB', 1_099_511_627_776],
    ['memory', '16 GB', 17_179_869_184],
    ['rate', '210 MB/s', 210e6],
    ['rate', '1.5 GB/s', 1.5e9],
    ['link', '6G', 6e9],
    ['link', '2.5G', 2.5e9],
    ['link', '100M', 100e6],
    ['link', '10 Gb/s', 10e9],
    ['block', '128 KiB', 131_072],
    ['block', '4K', 4096],
  ];
  it.each(cases)('%s %s is %d', (kind, written, amount) => {
    expect(parseQuantity(written, kind)).toEqual({ amount });
  });

  it.each([
    '8',
    8,
    '',
    'TB',
    '-8 TB',
    '0 TB',
    '8 tb',
    '8 constructor',
    '8 TB/s',
    '1e3 GB',
    '9'.repeat(40),
    '999999999 TB',
    null,
    undefined,
    Number.NaN,
    {},
  ])('refuses %s as a capacity', (written) => {
    expect(parseQuantity(written, 'capacity')).toEqual({
      expected: 'a capacity with its unit, such as "8 TB"',
    });
  });
});

describe('nearest name', () => {
  // Optimal string alignment: known distances, by hand.
  it.each([
    ['', '', 0],
    ['abc', '', 3],
    ['kitten', 'sitting', 3],
    ['ab', 'ba', 1],
    ['serial', 'serail', 1],
  ])('%s to %s: %d', (one, other, distance) => {
    expect(editDistance(one, other)).toBe(distance);
    expect(editDistance(other, one)).toBe(distance);
  });

  it('names what is near and nothing else', () => {
    const known = ['serial', 'model', 'capacity'];
    expect(nearestName('Serail', known)).toBe('serial');
    expect(nearestName('capcity', known)).toBe('capacity');
    expect(nearestName('price', known)).toBeNull();
    expect(nearestName('', known)).toBeNull();
    expect(nearestName('x'.repeat(1000), known)).toBeNull();
  });
});
