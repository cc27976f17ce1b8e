/** One wording of a part for the page (what matters first) and for `status` (all of it). */
import { describe, expect, test } from 'vitest';
import { goneSince, portWords } from '../../src/checks/gone.js';
import { lowerFirst } from '../../src/checks/letters.js';
import type { PartKind } from '../../src/checks/part.js';
import { partClauses } from '../../src/checks/part-words.js';
import type { SeenFigure } from '../../src/checks/seen-figure.js';

function seen(metric: string, value: number | null, own: Partial<SeenFigure> = {}): SeenFigure {
  return {
    metric,
    place: '',
    value,
    unit: 'count',
    state: value === null ? 'no-figure' : 'measured',
    text: '',
    firstValue: value,
    firstWallMs: 0,
    ...own,
  };
}

function said(kind: PartKind, length: 'short' | 'full', latest: readonly SeenFigure[]) {
  const wording = { length, nameOf: (id: string) => id, dayOf: () => '5 January 2026' } as const;
  return partClauses({ kind, details: {}, latest }, wording);
}

const drive = [
  seen('drive-verdict', 0, { unit: 'code' }),
  seen('temperature', 37, { unit: 'celsius' }),
  seen('temperature-limit', 60, { unit: 'celsius' }),
  seen('reallocated-sectors', 11, { unit: 'sectors', firstValue: 8 }),
  seen('pending-sectors', 0, { unit: 'sectors' }),
  seen('power-on-hours', 900, { unit: 'hours' }),
  seen('power-cycles', 12),
  seen('hour-counter', 890, { place: 'Newest self-test', unit: 'hours' }),
  seen('hour-counter', 900, { place: 'Power-on hours', unit: 'hours' }),
];

describe('a drive', () => {
  const shared = [
    '37 °C, 23 °C below its own limit of 60 °C',
    'reallocated sectors (5): 11, 3 more since 5 January 2026, first seen at 8',
  ];

  test('in short', () => {
    expect(said('drive', 'short', drive)).toEqual([...shared, '900 power-on hours']);
  });

  test('in full the same words, and the rest', () => {
    expect(said('drive', 'full', drive)).toEqual([
      'the drive itself does not say that it is failing',
      ...shared,
      'counted at zero: pending sectors',
      '900 power-on hours, switched on 12 times',
      '2 records of its age tell 890 to 900 hours',
    ]);
  });

  test('its own word that it is failing comes first in both', () => {
    const failing = [seen('drive-verdict', 1), seen('temperature', 37, { unit: 'celsius' })];
    for (const length of ['short', 'full'] as const) {
      expect(said('drive', length, failing)[0]).toBe('the drive itself says that it is failing');
    }
  });

  test('nothing read is no clause, and never good', () => {
    expect(said('drive', 'full', [seen('temperature', null)])).toEqual([]);
    expect(said('drive', 'short', [seen('temperature', null)])).toEqual(['temperature: no figure']);
  });
});

describe('links', () => {
  const lanes = (now: number, possible: number) => [
    seen('pci-link-speed', 8, { unit: 'gigatransfers-per-second' }),
    seen('pci-link-speed-possible', 8, { unit: 'gigatransfers-per-second' }),
    seen('pci-link-lanes', now, { unit: 'lanes' }),
    seen('pci-link-lanes-possible', possible, { unit: 'lanes' }),
  ];

  test.each([
    [lanes(4, 4), 'PCI link at 8 GT/s over 4 lanes, all that both ends can do'],
    [lanes(1, 4), 'PCI link at 8 GT/s over 1 lane, where both ends can do 8 GT/s over 4 lanes'],
  ])('a narrow slot is told with what is possible', (latest, words) => {
    for (const length of ['short', 'full'] as const) {
      expect(said('disk-controller', length, latest)).toEqual([words]);
    }
  });

  test('why a rate was not told stands in the short words', () => {
    const latest = [seen('network-rate', null, { text: 'Nothing is plugged in' })];
    expect(said('network-card', 'short', latest)).toEqual([
      'network rate: no figure, nothing is plugged in',
    ]);
  });
});

test('of many sensors the short words name six and count the rest', () => {
  const latest = Array.from({ length: 8 }, (_, index) =>
    seen('temperature', 30 + index, { place: `Sensor ${index + 1}`, unit: 'celsius' }),
  );
  expect(said('sensor-chip', 'short', latest).at(-1)).toBe('2 more');
  expect(said('sensor-chip', 'short', latest)).toHaveLength(7);
  expect(said('sensor-chip', 'full', latest)).toHaveLength(8);
});

test.each([
  ['port-2', 'port 2'],
  ['2', 'port 2'],
  ['phy-3', 'phy 3'],
  ['ata2', 'port ata2'],
])('port %s is said as %s', (port, words) => {
  expect(portWords(port)).toBe(words);
});

test.each([
  ['Temperature limit', 'temperature limit'],
  ['PCI link', 'PCI link'],
  ['NVMe drive', 'NVMe drive'],
  ['Virtual disk: NVMe', 'virtual disk: NVMe'],
  ['', ''],
])('"%s" within a sentence', (text, words) => {
  expect(lowerFirst(text)).toBe(words);
});

test('a part seen in the newest boot is not gone', () => {
  expect(goneSince({ lastSeen: { boot: 3 } }, 3)).toBeNull();
  expect(goneSince({ lastSeen: { boot: 2 } }, 3)).toEqual({ boot: 2 });
});
