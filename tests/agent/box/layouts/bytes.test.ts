import { expect, test } from 'vitest';
import {
  countOrNull,
  exactNumber,
  pageReader,
  requireZeroSum,
} from '../../../../src/agent/box/layouts/bytes.js';
import { PageError } from '../../../../src/agent/box/layouts/page-error.js';

const page = pageReader('Example', Uint8Array.from([1, 2, 3, 4, 5, 6, 7, 0x80]));

test('numbers are read in the asked byte order', () => {
  // By place value: 02h 01h is 258 + ..., worked out by hand.
  expect(page.le16(0)).toBe(0x0201);
  expect(page.be16(0)).toBe(0x0102);
  expect(page.le32(0)).toBe(0x04030201);
  expect(page.be32(4)).toBe(0x05060780);
  expect(page.le48(0)).toBe(0x060504030201);
  expect(page.le64(0)).toBe(0x8007060504030201n);
  expect(page.be64(0)).toBe(0x0102030405060780n);
  expect(page.s8(7)).toBe(-128);
  expect(page.s8(6)).toBe(7);
});

test('32-bit values with the top bit set stay positive', () => {
  const high = pageReader('Example', Uint8Array.from([0xff, 0xff, 0xff, 0xff]));
  expect(high.le32(0)).toBe(4_294_967_295);
  expect(high.be32(0)).toBe(4_294_967_295);
});

test('a read past the end names record, expectation and what was found', () => {
  expect(() => page.le16(7)).toThrow(PageError);
  expect(() => page.le16(7)).toThrow('Example: expected at least 9 bytes, found 8');
  expect(() => page.u8(-1)).toThrow(PageError);
  expect(() => page.le128(0)).toThrow(PageError);
});

test('text is trimmed and holds no control characters', () => {
  const bytes = Uint8Array.from([0x20, 0x41, 0x1b, 0x42, 0x00, 0x20]);
  expect(pageReader('Example', bytes).text(0, 6)).toBe('A?B');
});

test('a number is given only where a double holds it exactly', () => {
  expect(exactNumber(2n ** 53n)).toBe(9_007_199_254_740_992);
  expect(exactNumber(2n ** 53n + 1n)).toBeNull();
  expect(exactNumber(2n ** 128n - 1n)).toBeNull();
  expect(countOrNull(2n ** 53n - 1n)).toBe(9_007_199_254_740_991);
  expect(countOrNull(2n ** 64n)).toBeNull();
});

test('a checksum that is off by one is refused', () => {
  const good = Uint8Array.from({ length: 512 }, (_, index) => (index === 0 ? 0xff : 0));
  good[511] = 1;
  expect(() => requireZeroSum(pageReader('Example', good))).not.toThrow();
  good[511] = 2;
  expect(() => requireZeroSum(pageReader('Example', good))).toThrow(/found 01h/);
});

test('reading a Buffer leaves its bytes as they were', () => {
  const buffer = Buffer.from([1, 2, 3, 4, 5, 6, 7, 8]);
  const reader = pageReader('Example', buffer);
  expect([reader.le16(0), reader.le16(0)]).toEqual([0x0201, 0x0201]);
  expect(reader.le64(0)).toBe(0x0807060504030201n);
  expect([...buffer]).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
});
