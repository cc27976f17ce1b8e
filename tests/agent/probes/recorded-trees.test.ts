import { readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { readArrays } from '../../../src/agent/probes/arrays.js';
import { takeInventory } from '../../../src/agent/probes/inventory.js';
import { readLinks } from '../../../src/agent/probes/links.js';
import { readMemory } from '../../../src/agent/probes/memory.js';
import { readNetwork } from '../../../src/agent/probes/network.js';
import { readPciErrors } from '../../../src/agent/probes/pci-errors.js';
import { readSasPhys } from '../../../src/agent/probes/sas-phys.js';
import { readSataLinks } from '../../../src/agent/probes/sata-links.js';
import { readSensors } from '../../../src/agent/probes/sensors.js';
import type { Inventory, PartReadings } from '../../../src/checks/part.js';
import { boxOfTree, treeOf } from '../../box/kernel-tree.js';
import { btrfsFileSystems, mdArrays, zfsPools } from '../../box/recorded-arrays.js';
import { pciErrors, pciWidths, sasPhys, sataSpeeds } from '../../box/recorded-links.js';
import { memoryErrors, networkCards, sensors } from '../../box/recorded-sensors.js';
import type { RecordedShape, RecordedSubject } from '../../box/recorded-trees.js';

/** What no emulated machine has, each as it should be, absent, and absurd. */
const subjects: Readonly<Record<string, RecordedSubject>> = {
  'memory errors (EDAC)': memoryErrors,
  'SATA speeds': sataSpeeds,
  'PCI widths and speeds': pciWidths,
  'PCI errors (AER)': pciErrors,
  'SAS phys': sasPhys,
  'sensors and fans': sensors,
  'network cards': networkCards,
  'md arrays': mdArrays,
  'btrfs file systems': btrfsFileSystems,
  'ZFS pools': zfsPools,
};

type Box = ReturnType<typeof boxOfTree>;
type Reader = (box: Box, inventory: Inventory) => Promise<readonly PartReadings[]>;

const readers: Readonly<Record<string, Reader>> = {
  readArrays,
  readLinks,
  readMemory,
  readNetwork,
  readPciErrors,
  readSasPhys,
  readSataLinks,
  readSensors: (box, inventory) => readSensors(box, inventory, { mayAsk: async () => false }),
};

/** Readers of kernel files whose own tests hold their trees, or that read no tree. */
const elsewhere: Readonly<Record<string, string>> = {
  readActivity: 'activity.test.ts',
  readControllerLog: 'asks the management controller',
  readEnergy: 'box-itself.test.ts',
  readKernelStates: 'kernel-drive-state.test.ts',
  readLoad: 'hands its two texts to loadReading, whose tests stand in box-itself',
  readPciLink: 'read by readLinks',
  readSensorList: 'asks the management controller',
  readSurroundings: 'puts the others together',
  readTimeLimits: 'time-limits.test.ts',
};

async function rowsOf(shape: RecordedShape, reader: string) {
  const box = boxOfTree(treeOf(shape.tree));
  const read = readers[reader];
  if (read === undefined) throw new Error(`No reader is called ${reader}`);
  const parts = await read(box, await takeInventory(box));
  return parts.flatMap(({ readings }) =>
    readings.map(({ metric, place, value, state }) => [
      place === undefined ? metric : `${metric} ${place}`,
      value ?? state,
    ]),
  );
}

const cases = Object.entries(subjects).flatMap(([name, subject]) =>
  (['good', 'absent', 'absurd'] as const).map((kind) => [name, kind, subject] as const),
);

/** Figures that the subject is not about may stand beside the listed ones, never a number more. */
test.each(cases)('%s, %s', async (_name, kind, subject) => {
  const { rows } = subject[kind];
  const found = await rowsOf(subject[kind], subject.reader);
  expect(found).toEqual(expect.arrayContaining(rows.map((row) => [...row])));
  const listed = new Set(rows.map(([figure]) => figure));
  const more = found.filter(([figure]) => !listed.has(String(figure)));
  expect(kind === 'good' ? [] : more.filter(([, value]) => typeof value === 'number')).toEqual([]);
  if (rows.length === 0) expect(found).toEqual([]);
});

test('every reader of the probes is a subject here, or has its place elsewhere', () => {
  const folder = new URL('../../../src/agent/probes/', import.meta.url);
  const found = readdirSync(folder).flatMap((file) =>
    [
      ...readFileSync(new URL(file, folder), 'utf8').matchAll(/^export async function (read\w+)/gm),
    ].map(([, name]) => name ?? ''),
  );
  const here = Object.values(subjects).map(({ reader }) => reader);
  expect([...new Set([...here, ...Object.keys(elsewhere)])].sort()).toEqual(
    [...new Set(found)].sort(),
  );
  for (const [reader, file] of Object.entries(elsewhere)) {
    if (!file.endsWith('.ts')) continue;
    expect(readFileSync(new URL(file, import.meta.url), 'utf8'), file).toContain(reader);
  }
});

test('each subject says whose document it follows, and its readings differ from case to case', () => {
  for (const { source, good, absent, absurd } of Object.values(subjects)) {
    expect(source).toMatch(/Linux|OpenZFS/);
    expect(good.rows.some(([, value]) => typeof value === 'number')).toBe(true);
    expect(good.rows).not.toEqual(absent.rows);
    expect(good.tree).not.toEqual(absurd.tree);
  }
});
