import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { decodeCommand } from '../../src/cli/decode.js';

const folder = new URL('../captures/', import.meta.url);

function decoded(name: string, bytes: string, json = false): readonly string[] {
  const lines: string[] = [];
  decodeCommand({
    file: `${name}.json`,
    json,
    bytes,
    read: (path) => readFileSync(new URL(path, folder), 'utf8'),
    print: (line) => lines.push(line),
  });
  return lines;
}

test('a figure with its page, the bytes in words and the rows that hold them', () => {
  expect(decoded('nvme-healthy', 'temperature')).toEqual([
    'Temperature (194): 37 °C, from NVMe health log 02h, composite temperature.',
    '',
    'NVMe log 02h, 512 bytes, by Linux 6.1 nvme.h; units from memory:',
    '  bytes 1 to 2, little-endian, = 310; less 273',
    '     0   00 [36][01] 64  0A  03  00  00  00  00  00  00  00  00  00  00',
    '        bytes 16 to 511: not looked at for this figure',
    '',
    '[ ] holds it   ( ) decides whether it counts   < > checksum',
  ]);
});

test('bytes that decide and the checksum have marks of their own', () => {
  const text = decoded('healthy-disk', 'Starts and stops (4)').join('\n');
  expect(text).toContain('  whether it counts: byte 14');
  expect(text).toContain('  checksum of the page: byte 511');
  expect(text).toContain('(04)');
  expect(text).toMatch(/<[0-9A-F]{2}>$/m);
});

test('the title on the page names a figure as well as its short name', () => {
  const byTitle = decoded('nvme-healthy', 'power-on hours (9)');
  expect(byTitle).toEqual(decoded('nvme-healthy', 'power-on-hours'));
});

test('as JSON one object with the reading, the bytes and their places', () => {
  const [line = '', ...more] = decoded('nvme-healthy', 'temperature/sensor 2', true);
  expect(more).toEqual([]);
  const { reading, pages } = JSON.parse(line);
  expect(reading).toMatchObject({ metric: 'temperature', place: 'sensor 2', value: 50 });
  expect(pages).toHaveLength(1);
  const number = { order: 'little-endian', number: '323', times: 1, plus: -273 };
  expect(pages[0]).toMatchObject({
    record: 'nvme-log',
    log: 2,
    fields: [{ from: 202, to: 203, number, bits: null }],
    deciding: [],
    checksums: [],
  });
  // 323 kelvins are 0143h, the lower byte first.
  expect(pages[0].data.slice(404, 408)).toBe('4301');
});

test('a figure without a number tells why, and what decides that', () => {
  const [first = '', ...rest] = decoded('healthy-disk', 'time-over-temperature');
  expect(first).toContain('no figure');
  expect(rest.join('\n')).toContain('  whether it counts: byte 2, byte 87');
});

test('an unknown name is refused with the nearest one', () => {
  expect(() => decoded('healthy-disk', 'powr-on-hours')).toThrow(
    expect.objectContaining({ exitCode: 2, hint: 'Perhaps "power-on-hours"' }),
  );
});
