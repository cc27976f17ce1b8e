import { expect, test } from 'vitest';
import { answered } from '../../../src/agent/box/box.js';
import { decodeSensorRecord } from '../../../src/agent/box/layouts/ipmi-sensor-list.js';
import { loadReading } from '../../../src/agent/probes/box-load.js';
import { capacityOrNull } from '../../../src/agent/probes/interpretation.js';
import { memoryBytesOf } from '../../../src/agent/probes/machine.js';
import { managementReadings } from '../../../src/agent/probes/management-readings.js';
import { parseDevicePath } from '../../../src/agent/probes/parse-device-path.js';
import { logFact } from '../../../src/agent/probes/parse-kernel-log.js';
import { parseLinkSpeed } from '../../../src/agent/probes/parse-pci.js';
import { fullFan } from '../box/layouts/ipmi-bytes.js';

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

test('registers of a failed command that are no bytes are no place', () => {
  const place = (lba: string) =>
    logFact({
      sequence: 1,
      monoMs: 1,
      level: 3,
      text: `ata3.00: cmd 60/08:00:00:10:00/00:00:00:${lba}:00/40 tag 0 ncq dma 4096 in\n         res 41/04:00:00:10:00/00:00:00:00:00/00 Emask 0x1 (device error)`,
    })?.position;
  expect(place('00')).toEqual({ unit: 'blocks', number: 4096 });
  expect(place('9007199254740993')).toBe(null);
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

// Raw 0 by (300·0 - 60)·10^-1 is -6 rpm, raw 20 is 594.
test.each([
  [0, null],
  [20, 594],
])('a fan of a board’s controller at raw %s turns %s times a minute', (raw, expected) => {
  const [fan] = decodeSensorRecord(fullFan);
  if (fan === undefined) throw new Error('The record holds no sensor');
  const answer = answered({ raw, states: 0, scanned: true, valid: true });
  expect(managementReadings({ sensor: fan, answer })[0]?.value).toBe(expected);
});
