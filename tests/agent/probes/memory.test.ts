import { describe, expect, test } from 'vitest';
import { modulesOf } from '../../../src/agent/box/machine-facts.js';
import { takeInventory } from '../../../src/agent/probes/inventory.js';
import { readMemory } from '../../../src/agent/probes/memory.js';
import { withMemoryTotals } from '../../../src/agent/probes/memory-totals.js';
import { measured, type Reading } from '../../../src/checks/reading.js';
import { boxOfTree, type FileSource, treeOf } from '../../box/kernel-tree.js';

/** Files as in Linux Documentation/ABI/testing/sysfs-devices-edac; makers are invented. */
const controller = '/sys/devices/system/edac/mc/mc0';
const counted: Readonly<Record<string, FileSource>> = {
  '/sys/block/': '',
  [`${controller}/mc_name`]: 'Tolvane-MC',
  [`${controller}/seconds_since_reset`]: '86400',
  [`${controller}/ce_noinfo_count`]: '0',
  [`${controller}/ue_noinfo_count`]: '0',
  [`${controller}/dimm0/dimm_label`]: 'DIMM_A1',
  [`${controller}/dimm0/size`]: '8192',
  [`${controller}/dimm0/dimm_ce_count`]: '41',
  [`${controller}/dimm0/dimm_ue_count`]: '0',
  [`${controller}/dimm1/dimm_label`]: '',
  [`${controller}/dimm1/dimm_ce_count`]: 'many',
  [`${controller}/csrow0/ce_count`]: '41',
};

const module = {
  slot: 'DIMM_A1',
  sizeBytes: 8_589_934_592,
  type: 'DDR4',
  maker: 'Quillon',
  model: 'QM8G-2400E',
  serial: '39D1A0F2',
};

test('places that count errors are parts, joined with the module of the same name', async () => {
  const plain = boxOfTree(treeOf(counted));
  const box = {
    ...plain,
    machine: async () => ({
      board: null,
      processor: null,
      memoryModules: [module, { ...module, slot: 'DIMM_B1', serial: null }],
    }),
  };
  const { memory, emptyWhy } = await takeInventory(box);
  expect(memory?.map(({ id, label, serial }) => [id, label, serial])).toEqual([
    ['memory-controller-0', 'Memory controller 0, Tolvane-MC', null],
    ['memory-mc0-dimm0', 'Memory module Quillon QM8G-2400E DDR4, DIMM_A1', '39D1A0F2'],
    ['memory-mc0-dimm1', 'Memory module, place mc0 dimm1', null],
    ['memory-dimm-b1', 'Memory module Quillon QM8G-2400E DDR4, DIMM_B1', null],
  ]);
  expect(emptyWhy['memory-errors']).toBe(undefined);
});

test('counts come with how long they have been counted; what is not told is left out', async () => {
  const box = boxOfTree(treeOf(counted));
  const parts = await readMemory(box, await takeInventory(box));
  const rows = parts.map(({ identityKey, readings }) => [
    identityKey,
    ...readings.map(({ metric, value }) => `${metric} ${value}`),
  ]);
  expect(rows).toEqual([
    [
      'memory:mc0',
      'memory-errors-corrected-since-load 0',
      'memory-errors-uncorrectable-since-load 0',
      'memory-counting-time 86400',
    ],
    [
      'memory:mc0/dimm0',
      'memory-errors-corrected-since-load 41',
      'memory-errors-uncorrectable-since-load 0',
      'memory-counting-time 86400',
    ],
    ['memory:mc0/dimm1', 'memory-counting-time 86400'],
  ]);
});

test('a box whose memory reports nothing says that this is not the same as no errors', async () => {
  const box = boxOfTree(treeOf({ '/sys/block/': '' }));
  const inventory = await takeInventory(box);
  expect(await readMemory(box, inventory)).toEqual([]);
  expect(inventory.emptyWhy['memory-errors']).toContain('not the same as no errors');
  expect(inventory.emptyWhy.memory).toContain('could not be read');
});

describe('sums over loads of the counting driver', () => {
  const look = (corrected: number, seconds: number): readonly Reading[] => [
    measured(
      { metric: 'memory-errors-corrected-since-load', unit: 'count', source: 's' },
      corrected,
    ),
    measured({ metric: 'memory-counting-time', unit: 'seconds', source: 's' }, seconds),
  ];
  const kept = { boot: 1, lastMonoMs: 100_000 };
  const before = [
    { ...kept, metric: 'memory-errors-corrected', value: 50 },
    { ...kept, metric: 'memory-errors-corrected-since-load', value: 41 },
    { ...kept, metric: 'memory-counting-time', value: 90 },
  ];
  const sumOf = (readings: readonly Reading[], now: { boot: number; monoMs: number }) =>
    withMemoryTotals(readings, before, now).find(
      ({ metric }) => metric === 'memory-errors-corrected',
    )?.value;

  test('the first look takes the count as it is', () => {
    const [first] = withMemoryTotals(look(41, 90), [], { boot: 1, monoMs: 100_000 });
    expect(first).toMatchObject({ metric: 'memory-errors-corrected', value: 41 });
  });

  test.each([
    ['goes on counting', look(44, 390), { boot: 1, monoMs: 400_000 }, 53],
    ['was loaded again, counted fewer', look(3, 60), { boot: 1, monoMs: 400_000 }, 53],
    ['was loaded again, counted more', look(60, 60), { boot: 1, monoMs: 400_000 }, 110],
    ['was loaded again long ago', look(60, 250), { boot: 1, monoMs: 400_000 }, 110],
    ['was loaded by a new boot', look(44, 390), { boot: 2, monoMs: 400_000 }, 94],
  ])('a driver that %s', (_words, readings, now, expected) => {
    expect(sumOf(readings, now)).toBe(expected);
  });
});

test('modules that the library makes up without a place are no modules', () => {
  const listed = {
    size: 8_589_934_592,
    bank: 'BANK 0/DIMM_A1',
    type: 'DDR4',
    manufacturer: 'Quillon',
    partNum: 'QM8G-2400E',
    serialNum: '00000000',
  };
  expect(modulesOf([{ ...listed, bank: '', type: '' }])).toBe(null);
  expect(
    modulesOf([listed, { ...listed, bank: 'BANK 1/DIMM_B1', size: 0, type: 'Empty' }]),
  ).toEqual([{ ...module, slot: 'BANK 0/DIMM_A1', serial: null }]);
});
