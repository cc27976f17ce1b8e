import { expect, test } from 'vitest';
import { hexRows } from '../../src/checks/hex-rows.js';

const marks = {
  data: Uint8Array.from({ length: 70 }, (_, index) => index),
  fields: [{ from: 34, to: 35 }],
  deciding: [{ from: 40, to: 40 }],
  checksums: [69],
};

test('rows of 16 with a mark on each byte that matters; the rest is told as a stretch', () => {
  const rows = hexRows(marks, false);
  expect(rows.map((row) => ('leftOut' in row ? row.leftOut : row.offset))).toEqual([
    { from: 0, to: 31 },
    32,
    { from: 48, to: 63 },
    64,
  ]);
  const [, second, , last] = rows;
  if (second === undefined || last === undefined || 'leftOut' in second || 'leftOut' in last) {
    throw new Error('Rows with marks were left out');
  }
  expect(second.bytes.slice(1, 5)).toEqual([
    { hex: '21', mark: null },
    { hex: '22', mark: 'figure' },
    { hex: '23', mark: 'figure' },
    { hex: '24', mark: null },
  ]);
  expect(second.bytes[8]).toEqual({ hex: '28', mark: 'deciding' });
  expect(last.bytes).toHaveLength(6);
  expect(last.bytes[5]).toEqual({ hex: '45', mark: 'checksum' });
});

test('all rows when all are wanted, and none of an empty page', () => {
  expect(hexRows(marks, true).map((row) => 'offset' in row && row.offset)).toEqual([
    0, 16, 32, 48, 64,
  ]);
  expect(hexRows({ ...marks, data: new Uint8Array() }, false)).toEqual([]);
});
