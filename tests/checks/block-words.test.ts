import { expect, test } from 'vitest';
import { blockWords } from '../../src/checks/block-words.js';

test.each([
  [512, 512, '512 bytes'],
  [512, 4096, '512 bytes over 4096 on its medium (512e)'],
  [4096, 4096, '4096 bytes (4Kn)'],
  [4096, 512, '4096 bytes'],
  [520, 520, '520 bytes'],
  [512, 8192, '512 bytes over 8192 on its medium'],
])('blocks of %d over %d: %s', (logical, physical, words) => {
  expect(blockWords(logical, physical)).toBe(words);
});
