import { expect, test } from 'vitest';
import { exportedFunctions } from './registry.js';
import { allTargets } from './targets/all.js';

/** Small parts of the layouts that every target goes through, or that read nothing. */
const parts = new Set([
  'pageReader',
  'exactNumber',
  'countOrNull',
  'requireZeroSum',
  'hex',
  'bit',
  'hexDigits',
  'damaged',
  'asThing',
  'asList',
  'asText',
  'asNumber',
  'onlyKeys',
]);

test('every exported function of the layouts is fed by a target', async () => {
  const driven = new Set((await allTargets()).flatMap(({ drives }) => drives));
  const exported = exportedFunctions('src/agent/box/layouts', /\.ts$/);
  const left = exported.filter(({ name }) => !driven.has(name) && !parts.has(name));
  expect(left).toEqual([]);
  expect(exported.length).toBeGreaterThan(100);
});

test('every parser of kernel texts and pages in the probes is fed by a target', async () => {
  const driven = new Set((await allTargets()).flatMap(({ drives }) => drives));
  const exported = exportedFunctions('src/agent/probes', /^parse-.*\.ts$/);
  expect(exported.filter(({ name }) => !driven.has(name) && name !== 'notKnown')).toEqual([]);
  expect(exported.length).toBeGreaterThan(15);
});

test('no name of a target stands for two, and each has inputs to start from', async () => {
  const targets = await allTargets();
  const names = targets.map(({ name }) => name);
  expect(new Set(names).size).toBe(names.length);
  expect(targets.filter(({ seeds }) => seeds.length === 0)).toEqual([]);
});
