import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import type { KeptPart } from '../../src/checks/check-input.js';
import { parseModel } from '../../src/checks/model/parse.js';
import { whereWords } from '../../src/checks/where-words.js';

const text = readFileSync(new URL('../box/archive-model.toml', import.meta.url), 'utf8');
const parsed = parseModel(text, 'archive-model.toml');
const model = 'model' in parsed ? parsed.model : null;
const lastSeen = { boot: 1, monoMs: 0, wallMs: 0 };
const part = (kind: KeptPart['kind'], name: string, details: object): KeptPart => ({
  id: 1,
  kind,
  name,
  details: { ...details },
  firstWallMs: 0,
  lastSeen,
});
const parts = [
  part('drive', 'TS80052HV4', { controller: 'disk-card', port: 'port-1' }),
  part('drive', 'UNKNOWN-1', {}),
  part('network-card', 'network-card', { pciAddress: '0000:03:00.0' }),
  part('memory', 'memory-a2', { slot: 'DIMM_A2' }),
  part('array', 'recordings', {}),
];

it.each([
  [
    'TS80052HV4',
    'The drive with the serial ending 2HV4 is in bay 3, on port 1 of disk-card, fed by power lead lead-right.',
  ],
  ['UNKNOWN-1', null],
  ['network-card', 'The card is in slot-long, at PCI address 0000:03:00.0.'],
  ['memory-a2', 'The module is in slot DIMM_A2.'],
  ['recordings', null],
  ['lead-right', 'Power lead lead-right feeds Bay 3 · 2HV4, Bay 4 · 2J07, its plugs are moulded.'],
  ['nobody', null],
])('%s: %s', (subject, words) => {
  expect(model).not.toBeNull();
  expect(whereWords(subject, { parts, model })).toBe(words);
});

it('tells what the kernel knows without a model', () => {
  expect(whereWords('TS80052HV4', { parts, model: null })).toBe(
    'The drive with the serial ending 2HV4 is on port 1 of disk-card.',
  );
  expect(whereWords('lead-right', { parts, model: null })).toBeNull();
});
