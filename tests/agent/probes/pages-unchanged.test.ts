import { expect, test } from 'vitest';
import { pageReader } from '../../../src/agent/box/layouts/bytes.js';
import { ataLabel } from '../../../src/agent/box/layouts/identity-strings.js';

/** Node's Buffer.slice shares memory where Uint8Array.slice copies (Node documentation, buffer). */

test('reading numbers of a page in a Buffer leaves its bytes as they are', () => {
  const page = Buffer.from([0x01, 0x02, 0x03, 0x04, 0x05, 0x06, 0x07, 0x08]);
  const reader = pageReader('a page', page);
  expect([reader.le16(0), reader.le16(0)]).toEqual([0x0201, 0x0201]);
  expect(reader.le32(4)).toBe(0x08070605);
  expect([...page]).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
});

test('reading the label of a page in a Buffer gives the same twice and leaves the bytes', () => {
  const page = Buffer.alloc(512, 0x20);
  page.write('ALSB21', 20, 'latin1');
  const before = page.toString('hex');
  expect(ataLabel(page)?.serial).toBe('LABS12');
  expect(ataLabel(page)?.serial).toBe('LABS12');
  expect(page.toString('hex')).toBe(before);
});
