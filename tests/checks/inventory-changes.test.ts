import { describe, expect, test } from 'vitest';
import {
  inventoryChanges,
  isAtStart,
  type KeptLook,
  type PartLook,
} from '../../src/checks/inventory-changes.js';

const host: PartLook = {
  kind: 'disk-controller',
  identityKey: 'pci:1000:0097:0000:03:00.0',
  name: 'disk-controller-03-00-0',
  details: { vendorDevice: '1000:0097', pciAddress: '0000:03:00.0', driver: 'mpt3sas' },
};

function drive(name: string, details: Record<string, unknown> = {}): PartLook {
  return {
    kind: 'drive',
    identityKey: `serial:Tolvane/${name}`,
    name,
    details: { controller: host.name, port: 'phy-2', firmware: 'T104', ...details },
  };
}

function kept(part: PartLook, isGone = false): KeptLook {
  return { ...part, isGone };
}

function rows(before: readonly KeptLook[], seen: readonly PartLook[]) {
  return inventoryChanges(before, seen).map(({ kind, identityKey, text }) => [
    kind,
    identityKey.replace('serial:Tolvane/', ''),
    text,
  ]);
}

test('the first look of all tells no change, nor does one that finds the same', () => {
  expect(rows([], [host, drive('TVN1')])).toEqual([]);
  expect(rows([kept(host), kept(drive('TVN1'))], [drive('TVN1'), host])).toEqual([]);
});

test('a part is missing once, new once, and back when it was known before', () => {
  const before = [kept(host), kept(drive('TVN1')), kept(drive('TVN2'), true)];
  expect(rows(before, [host, drive('TVN2'), drive('TVN3')])).toEqual([
    ['part-missing', 'TVN1', 'It was there at the look before and is not found now'],
    ['part-back', 'TVN2', 'It is back after having been away'],
    ['part-new', 'TVN3', 'It is new in this box'],
  ]);
  const next = [kept(host), kept(drive('TVN1'), true), kept(drive('TVN2')), kept(drive('TVN3'))];
  expect(rows(next, [host, drive('TVN2'), drive('TVN3')])).toEqual([]);
});

test('another port and other firmware are told with both sides', () => {
  const now = drive('TVN1', { port: 'phy-3', firmware: 'T106' });
  expect(rows([kept(host), kept(drive('TVN1'))], [host, now])).toEqual([
    [
      'part-moved',
      'TVN1',
      'It moved from phy-2 of disk-controller-03-00-0 to phy-3 of disk-controller-03-00-0',
    ],
    ['firmware-changed', 'TVN1', 'Its firmware changed from T104 to T106'],
  ]);
});

test('a controller that was only given another name moves no drive', () => {
  const named = { ...host, name: 'hba' };
  expect(
    rows([kept(host), kept(drive('TVN1'))], [named, drive('TVN1', { controller: 'hba' })]),
  ).toEqual([]);
});

test.each([
  [{ port: null }, {}],
  [{}, { port: null }],
  [{ firmware: '' }, {}],
  [{}, { firmware: null, controller: null }],
])('what one side does not tell is not compared: %j, %j', (was, is) => {
  expect(rows([kept(host), kept(drive('TVN1', was))], [host, drive('TVN1', is)])).toEqual([]);
});

test('a part that comes back is compared with how it was when it was last seen', () => {
  const now = drive('TVN1', { port: 'phy-3', firmware: 'T106' });
  expect(rows([kept(host), kept(drive('TVN1'), true)], [host, now]).map(([kind]) => kind)).toEqual([
    'part-back',
    'part-moved',
    'firmware-changed',
  ]);
});

test('the first look of a boot says so in its words, later ones do not', () => {
  const [here, away] = [kept(drive('TVN1')), kept(drive('TVN2'), true)];
  const starts = (isOfThisBoot: boolean) =>
    inventoryChanges(
      [
        { ...here, isOfThisBoot },
        { ...away, isOfThisBoot: false },
      ],
      [drive('TVN2')],
    )
      .filter(({ kind }) => kind !== 'part-moved')
      .map(({ kind, text }) => [kind, isAtStart(text)]);
  expect(starts(false)).toEqual([
    ['part-missing', true],
    ['part-back', true],
  ]);
  expect(starts(true)).toEqual([
    ['part-missing', false],
    ['part-back', false],
  ]);
});

test.each([
  ['the same number', '9', '9', true, []],
  ['another number in the same boot', '9', '14', true, ['part-back']],
  ['another number in another boot', '9', '14', false, []],
  ['no number on an old kernel', null, '14', true, []],
])('a short absence shows in the kernel’s number of the disk: %s', (_, was, is, same, kinds) => {
  const before = { ...kept(drive('TVN1', { diskSequence: was })), isOfThisBoot: same };
  const seen = [host, drive('TVN1', { diskSequence: is })];
  expect(rows([kept(host), before], seen).map(([kind]) => kind)).toEqual(kinds);
});

test('an NVMe drive moves from slot to slot, not with the numbers of the buses behind them', () => {
  const own = { controller: null, port: null };
  const last = drive('TVN1', { ...own, slotAddress: '0000:00:1b.0', pciAddress: '0000:01:00.0' });
  const renumbered = { ...last, details: { ...last.details, pciAddress: '0000:02:00.0' } };
  const moved = { ...last, details: { ...last.details, slotAddress: '0000:00:1c.0' } };
  expect(rows([kept(last)], [renumbered])).toEqual([]);
  expect(rows([kept(last)], [moved])).toEqual([
    [
      'part-moved',
      'TVN1',
      'It moved from the slot at PCI address 0000:00:1b.0 to the slot at PCI address 0000:00:1c.0',
    ],
  ]);
});

test('two drives that tell one serial are neither missing nor new: the name is shared', () => {
  const one = drive('TVN1');
  const [here, there] = ['3', '4'].map((port) => ({
    ...one,
    identityKey: `${one.identityKey}@0000:03:00.0/phy-${port}`,
    name: `TVN1-at-${port}`,
  }));
  if (here === undefined || there === undefined) throw new Error('Two drives are needed');
  const kinds = (before: readonly KeptLook[], seen: readonly PartLook[]) =>
    rows(before, seen).map(([kind]) => kind);
  expect(kinds([kept(one)], [here, there])).toEqual([
    'identity-shared',
    'identity-shared',
    'identity-shared',
  ]);
  const after = [kept(one, true), kept(here), kept(there)];
  expect(kinds(after, [one])).toEqual(['part-missing', 'part-missing', 'part-back']);
});

test('a card that vanishes with its four drives, and comes back with them', () => {
  const drives = ['TVN1', 'TVN2', 'TVN3', 'TVN4'].map((name, at) =>
    drive(name, { port: `phy-${at}` }),
  );
  const box: PartLook = { kind: 'box', identityKey: 'box', name: 'box', details: {} };
  const whole = [box, host, ...drives];
  const kindsOf = (before: readonly KeptLook[], seen: readonly PartLook[]) =>
    rows(before, seen).map(([kind, key]) => `${kind} ${key}`);
  const gone = kindsOf(
    whole.map((part) => kept(part)),
    [box],
  );
  const names = [host.identityKey, 'TVN1', 'TVN2', 'TVN3', 'TVN4'];
  expect(gone).toEqual(names.map((name) => `part-missing ${name}`));
  const away = [kept(box), ...[host, ...drives].map((part) => kept(part, true))];
  expect(kindsOf(away, whole)).toEqual(names.map((name) => `part-back ${name}`));
});

describe('a card in another slot', () => {
  const there: PartLook = {
    ...host,
    identityKey: 'pci:1000:0097:0000:04:00.0',
    details: { ...host.details, pciAddress: '0000:04:00.0' },
  };

  test('has moved when it is the only one of its kind', () => {
    expect(rows([kept(host)], [there])).toEqual([
      [
        'part-moved',
        there.identityKey,
        'It moved to another slot: it was at PCI address 0000:03:00.0, now it is at 0000:04:00.0',
      ],
    ]);
  });

  test('is one missing and two new where there are two of its kind', () => {
    const third = { ...there, identityKey: 'pci:1000:0097:0000:05:00.0' };
    expect(rows([kept(host)], [there, third]).map(([kind]) => kind)).toEqual([
      'part-missing',
      'part-new',
      'part-new',
    ]);
  });
});

test('another driver and other versions are told by name', () => {
  const box = (kernel: string): PartLook => ({
    kind: 'box',
    identityKey: 'box',
    name: 'box',
    details: { versions: { kernel, 'board firmware': '1.20' } },
  });
  const otherDriver = { ...host, details: { ...host.details, driver: 'vfio-pci' } };
  const before = [kept(host), kept(box('Linux 6.1.0-55'))];
  expect(rows(before, [otherDriver, box('Linux 6.1.0-56')])).toEqual([
    ['version-changed', host.identityKey, 'Its driver changed from mpt3sas to vfio-pci'],
    ['version-changed', 'box', 'Its kernel changed from Linux 6.1.0-55 to Linux 6.1.0-56'],
  ]);
});
