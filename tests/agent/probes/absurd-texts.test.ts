import { expect, test } from 'vitest';
import { loadReading } from '../../../src/agent/probes/box-load.js';
import { capacityOrNull } from '../../../src/agent/probes/interpretation.js';
import { memoryBytesOf } from '../../../src/agent/probes/machine.js';
import { parseDevicePath } from '../../../src/agent/probes/parse-device-path.js';
import { parseLinkSpeed } from '../../../src/agent/probes/parse-pci.js';

/** Each once gave a figure that no kernel and no drive tells; found by `npm run fuzz`. Invented. */

test.each([
  [' 16318480 kB', 16_710_123_520],
  [' 18446744073709551615 kB', null],
  [' 16318480 MB', null],
])('memory of "MemTotal:%s" is %s', (text, expected) => {
  expect(memoryBytesOf(`MemTotal:${text}`)).toBe(expected);
});

test.each([
  ['8.0 GT/s PCIe', 8],
  ['18446744073709551615 GT/s PCIe', null],
  ['1.84467440737 GT/s', null],
])('link speed "%s" is %s', (text, expected) => {
  expect(parseLinkSpeed(text)).toBe(expected);
});

test.each([
  ['0:0:1:5', 5],
  [`0:0:1:${'9'.repeat(400)}`, null],
])('unit of the SCSI address %s is %s', (address, expected) => {
  const path = `/sys/devices/pci0000:00/0000:00:03.0/host0/target0:0:1/${address}/block/sda`;
  expect(parseDevicePath(path).unit).toBe(expected);
});

test.each([
  ['0.42 0.30 0.11 1/123 4567', 21],
  ['18446744073709551.0 9/9 9', null],
])('load "%s" on two processors is %s %%', (text, expected) => {
  expect(loadReading(text, '0-1').value).toBe(expected);
});

// 2^53 bytes are 9.007 PB; the second row is 22.98 EB, which a lying READ CAPACITY(16) once gave.
test.each([
  [4_000_787_030_016n, 4_000_787_030_016],
  [22_979_627_255_752_294_400n, null],
  [9_007_199_254_740_992n, null],
  [0n, null],
])('a capacity of %s bytes is %s', (bytes, expected) => {
  expect(capacityOrNull(bytes)).toBe(expected);
});
