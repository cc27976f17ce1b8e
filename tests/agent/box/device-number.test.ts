import { expect, it } from 'vitest';
import { formatDeviceNumber } from '../../../src/agent/box/descriptors.js';

it('splits device numbers as the C library does, small and large', () => {
  // makedev from glibc sys/sysmacros.h: 8:16 = 0x810, 259:5 = 0x10305, 8:65536 = 0x10000800.
  expect(formatDeviceNumber(0x810n)).toBe('8:16');
  expect(formatDeviceNumber(0x10305n)).toBe('259:5');
  expect(formatDeviceNumber(0x10000800n)).toBe('8:65536');
});
