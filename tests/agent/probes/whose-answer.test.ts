import { expect, test } from 'vitest';
import { type WhoseQuestion, whyOtherDrive } from '../../../src/agent/probes/whose-answer.js';

const base: WhoseQuestion = {
  drive: { serial: 'LM8K0A1207', worldWideName: '5f0a1b0000a12071', reachedBy: 'ata' },
  told: { serial: 'LM8K0A1207', worldWideName: null },
  earlier: null,
  others: ['LM8K0A1207', 'TS80052HV4'],
};
const usb = { ...base.drive, serial: 'DOCK000071', reachedBy: 'usb' } as const;
const told = (serial: string | null, worldWideName: string | null = null) => ({
  serial,
  worldWideName,
});

test.each<[string, Partial<WhoseQuestion>]>([
  ['the same serial number', {}],
  ['spaces around it', { told: told('  LM8K0A1207 ') }],
  ['cut short by an adapter', { told: told('LM8K0A12') }],
  ['its end alone', { told: told('8K0A1207') }],
  ['letters in swapped pairs', { told: told('MLK8A02170') }],
  ['no serial number told', { told: told(null) }],
  ['a filler told', { told: told('0123456789ABCDEF') }],
  ['a filler expected', { drive: { ...base.drive, serial: '000000000000' }, told: told('TS8') }],
  ['another serial number, the same world-wide name', { told: told('X1', '5f0a1b0000a12071') }],
  ['a bridge that shows a serial number of its own', { drive: usb, told: told('QP2S88120') }],
  ['a bridge, the same drive as before', { drive: usb, earlier: 'LM8K0A1207' }],
  ['a bridge that shows its own number as the drive’s', { drive: usb, told: told('DOCK000071') }],
])('fits: %s', (_, change) => {
  expect(whyOtherDrive({ ...base, ...change })).toBe(null);
});

test.each<[string, Partial<WhoseQuestion>, string]>([
  ['a neighbour', { told: told('TS80052HV4') }, 'LM8K0A1207'],
  ['an unknown drive', { told: told('QP2S88120') }, 'LM8K0A1207'],
  ['a piece that is too short', { told: told('LM8K0') }, 'LM8K0A1207'],
  ['through a bridge, a neighbour', { drive: usb, told: told('TS80052HV4') }, 'DOCK000071'],
  [
    'through a bridge, another drive than before',
    { drive: usb, told: told('QP2S88120'), earlier: 'LM8K0A1207' },
    'LM8K0A1207',
  ],
])('is another drive: %s', (_, change, expected) => {
  const question = { ...base, ...change };
  expect(whyOtherDrive(question)).toBe(
    `The answers came from a drive with serial number ${question.told.serial}, expected was ${expected}: nothing in them is believed`,
  );
});
