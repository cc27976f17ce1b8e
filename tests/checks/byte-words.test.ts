import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { fieldWords, runsWords } from '../../src/checks/byte-words.js';
import type { FigureField } from '../../src/checks/figure-bytes.js';
import { formatFigureName, parseFigureName } from '../../src/checks/figure-name.js';
import { recordRowOf } from '../../src/checks/record-words.js';

const captures = new URL('../captures/', import.meta.url);

const data = Uint8Array.from([0x20, 0xfb, 0x01, 0x02]);
const field: FigureField = {
  from: 1,
  to: 2,
  bits: null,
  number: { order: 'big-endian', number: 70n, times: 1, plus: 0 },
};

describe('a field in words', () => {
  test.each([
    [1, 0, 'bytes 1 to 2, big-endian, = 70'],
    [100, 0, 'bytes 1 to 2, big-endian, = 70; times 100'],
    [1 / 60, 0, 'bytes 1 to 2, big-endian, = 70; divided by 60'],
    [0.1, -4, 'bytes 1 to 2, big-endian, = 70; divided by 10, less 4'],
    [1, 5, 'bytes 1 to 2, big-endian, = 70; plus 5'],
    [1, -65_536, `bytes 1 to 2, big-endian, = -65\u202f466, with a sign`],
  ])('times %s plus %s', (times, plus, words) => {
    const number = { order: 'big-endian', number: 70n, times, plus } as const;
    expect(fieldWords({ ...field, number }, data, true)).toBe(words);
  });

  test('of several fields each tells only what it holds', () => {
    const number = { order: 'big-endian', number: 70n, times: 8, plus: 3 } as const;
    expect(fieldWords({ ...field, number }, data, false)).toBe('bytes 1 to 2, big-endian, = 70');
  });

  test.each([
    [[5], 0, 'bit 5 of byte 0, set'],
    [[4], 0, 'bit 4 of byte 0, not set'],
    [[1, 2, 3], 1, 'bits 1 to 3 of byte 1, the byte is FB in hexadecimal'],
    [[0, 7], 1, 'bits 0, 7 of byte 1, the byte is FB in hexadecimal'],
    [null, 3, 'byte 3, = 02 in hexadecimal'],
  ])('bits %j of byte %i', (bits, at, words) => {
    expect(fieldWords({ from: at, to: at, bits, number: null }, data, true)).toBe(words);
  });

  test('a number too large for exact arithmetic keeps all its digits', () => {
    const number = { ...field.number, order: null, number: 2n ** 64n, times: 1, plus: 0 } as const;
    expect(fieldWords({ ...field, number }, data, true)).toContain('18446744073709551616');
  });

  test('stretches as a list', () => {
    const runs = [
      { from: 2, to: 2 },
      { from: 8, to: 11 },
    ];
    expect(runsWords(runs)).toBe('byte 2, bytes 8 to 11');
  });
});

test.each([
  ['temperature', { metric: 'temperature', place: '' }],
  ['temperature/sensor 2', { metric: 'temperature', place: 'sensor 2' }],
  ['link-events/one/two', { metric: 'link-events', place: 'one/two' }],
])('the name %s of a figure comes back', (text, name) => {
  expect(parseFigureName(text)).toEqual(name);
  expect(formatFigureName(name)).toBe(text);
});

describe('on whose word a page is decoded', () => {
  test.each([
    [{ record: 'log', log: 0xe0 } as const, 'SCT status E0h'],
    [{ record: 'log', log: 0x04, page: 3 } as const, 'Device Statistics 04h'],
    [{ record: 'log-sense', log: 0x03 } as const, 'Error counters 02h, 03h, 05h'],
    [{ record: 'nvme-log', log: 0x06 } as const, 'Self-test log 06h'],
    [{ record: 'smart-thresholds' } as const, 'SMART data and thresholds'],
    [{ record: 'mode-sense', page: 8 } as const, 'Mode pages 01h, 08h, 1Ch'],
  ])('%j', (page, record) => {
    expect(recordRowOf(page)?.record).toBe(record);
  });

  test('each page of the captures has a row', () => {
    const files = readdirSync(captures).filter((file) => file.endsWith('.json'));
    expect(files.length).toBeGreaterThan(40);
    for (const file of files) {
      const { pages } = JSON.parse(readFileSync(new URL(file, captures), 'utf8'));
      for (const page of pages) {
        expect(recordRowOf(page), `${file} ${page.record} ${page.log}`).not.toBeNull();
      }
    }
  });

  test('a page that the list does not name has no row', () => {
    expect(recordRowOf({ record: 'log', log: 0x99 })).toBeNull();
  });
});
