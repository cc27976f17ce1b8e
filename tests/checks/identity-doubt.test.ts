import { expect, test } from 'vitest';
import { identityDoubt } from '../../src/checks/identity-doubt.js';

const place = 'place:0000:00:14.0/usb-2-1/Generic';
const wwn = 'wwn:5f0a1b0000a12071';

test.each([
  ['its own name', wwn, { serial: 'LM8K0A1207', duplicateIdentity: false }, null],
  ['a world-wide name alone', wwn, { serial: '', duplicateIdentity: false }, null],
  ['a virtual disk', 'virtual:0000:00:02.0', { serial: '', duplicateIdentity: true }, null],
  ['details of an older version', wwn, {}, null],
  [
    'a shared name',
    `${wwn}@0000:00:17.0/port-1`,
    { serial: 'X1', duplicateIdentity: true },
    'shared',
  ],
  ['a shared filler', place, { serial: '0123456789ABCDEF', duplicateIdentity: true }, 'shared'],
  ['a filler', place, { serial: '0123456789ABCDEF', duplicateIdentity: false }, 'placeholder'],
  ['no name at all', place, { serial: '', duplicateIdentity: false }, 'placeholder'],
])('%s', (_, identityKey, details, kind) => {
  expect(identityDoubt({ kind: 'drive', identityKey, details })?.kind ?? null).toBe(kind);
});

test('only drives are doubted', () => {
  const details = { duplicateIdentity: true };
  expect(identityDoubt({ kind: 'memory', identityKey: place, details })).toBe(null);
});

test('the reason names what is told, and each has a next step in whole sentences', () => {
  const doubtOf = (serial: string, duplicateIdentity: boolean) =>
    identityDoubt({ kind: 'drive', identityKey: place, details: { serial, duplicateIdentity } });
  const doubts = [doubtOf('LM8K0A1207', true), doubtOf('0123456789ABCDEF', false)];
  expect(doubts.map((doubt) => doubt?.why)).toEqual([
    'Another drive here tells the same name, serial “LM8K0A1207” or its world-wide name: the two cannot be told apart, so each is known by its place, and nothing is erased on either.',
    'It tells the serial “0123456789ABCDEF”, which stands for none and is told by many drives and bridges: it is known by its place alone, so another drive in the same place would be taken for it, and nothing is erased on it.',
  ]);
  for (const doubt of doubts) expect(doubt?.nextStep).toMatch(/^[A-Z].*\.$/);
});
