/**
 * From a figure to its bytes. Offsets are literals from the tables of the standards and makers'
 * manuals that are named beside them; nothing of the program tells a test where a field stands.
 */
import { readdirSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { checksumByte, summedBlocks } from '../../../src/agent/probes/change-page.js';
import { bytesOfFigure } from '../../../src/agent/probes/figure-bytes.js';
import { effectOf, figureNamed, figuresOf } from '../../../src/agent/probes/figure-effect.js';
import { fieldWords, runsWords } from '../../../src/checks/byte-words.js';
import type { Capture, RawPage } from '../../../src/checks/capture.js';
import type { FigureBytes, PageMarks } from '../../../src/checks/figure-bytes.js';
import { formatFigureName, parseFigureName } from '../../../src/checks/figure-name.js';
import { captureFolder } from '../box/layouts/load-hex.js';
import { captureOf } from './capture-of.js';

function marksIn(name: string, figure: string): FigureBytes {
  const found = bytesOfFigure(captureOf(name), parseFigureName(figure));
  if (found === null) throw new Error(`${name} tells no ${figure}`);
  return found;
}

/** The pages that hold the figure, each with its fields in words. */
function fieldsIn(name: string, figure: string): readonly string[] {
  const { pages } = marksIn(name, figure);
  const isAlone = pages.flatMap(({ fields }) => fields).length === 1;
  return pages.flatMap(({ page, fields }) =>
    fields.map((field) => {
      const { record, log = '', page: number = '' } = page;
      return `${record} ${log} ${number}: ${fieldWords(field, page.data, isAlone)}`;
    }),
  );
}

const narrow = '\u202f';

describe('worked examples', () => {
  test.each([
    // Attributes of 12 bytes from byte 2 on, their raw value 5 bytes in (Hitachi 7K500 p. 203).
    ['pending-sectors', 'temperature', 'smart-data  : byte 43, = 38'],
    ['pending-sectors', 'reallocated-sectors', 'smart-data  : bytes 7 to 12, little-endian, = 24'],
    ['pending-sectors', 'pending-sectors', 'smart-data  : bytes 55 to 60, little-endian, = 8'],
    // Device Statistics: figure at 8 of page 5; flags in byte 15 (Intel SSD 730 p. 21).
    ['healthy-disk', 'temperature', 'log 4 5: byte 8, = 31'],
    ['healthy-disk', 'power-on-hours', `log 4 1: bytes 16 to 19, little-endian, = 42${narrow}256`],
    ['healthy-disk', 'interface-crc-errors', 'log 4 6: bytes 24 to 27, little-endian, = 2'],
    // Sectors of 512 bytes, as words 106 and 117 of IDENTIFY DEVICE say.
    [
      'healthy-disk',
      'bytes-written',
      `log 4 1: bytes 24 to 29, little-endian, = 1${narrow}000${narrow}000${narrow}000${narrow}000; times 512`,
    ],
    // NVMe health log (Linux 6.1 struct nvme_smart_log): kelvins at 1, hours at 128.
    ['nvme-healthy', 'temperature', 'nvme-log 2 : bytes 1 to 2, little-endian, = 310; less 273'],
    [
      'nvme-healthy',
      'power-on-hours',
      `nvme-log 2 : bytes 128 to 143, little-endian, = 10${narrow}000`,
    ],
    [
      'nvme-healthy',
      'temperature/sensor 2',
      'nvme-log 2 : bytes 202 to 203, little-endian, = 323; less 273',
    ],
    // Minutes in the status parameter, from byte 8 on (Seagate Commands Reference Rev. J p. 312).
    [
      'sas-disk',
      'power-on-hours',
      `log-sense 21 : bytes 8 to 11, big-endian, = 2${narrow}535${narrow}648; divided by 60`,
    ],
    // Byte 9 of log page 0Dh (HP Q1530 manual p. 62).
    ['sas-disk', 'temperature', 'log-sense 13 : byte 9, = 31'],
    // Units of 100 ms in the low word of the LBA's place (HGST HC580 p. 96).
    [
      'settings-and-timers',
      'error-recovery-time-limit',
      'sct-error-recovery  1: bytes 4 to 5, little-endian, = 70; times 100',
    ],
    // A counter of 2 bytes after its identifier of 2 bytes (HGST HC580 p. 212).
    [
      'logged-errors',
      'link-events/commands ended by a damaged transfer',
      'log 17 0: bytes 6 to 7, little-endian, = 5',
    ],
  ])('%s, %s', (name, figure, words) => {
    expect(fieldsIn(name, figure)).toEqual([words]);
  });

  test('a setting is told by the bits that make it: words 82 and 85, bit 5 (ACS, from memory)', () => {
    expect(fieldsIn('healthy-disk', 'drive-setting/write cache')).toEqual([
      'identify-device  : bit 5 of byte 164, set',
      'identify-device  : bit 5 of byte 170, set',
    ]);
  });

  test('SCT status holds the temperature of now in byte 200 (HGST HC580 p. 92)', () => {
    const whole = captureOf('healthy-disk');
    const pages = whole.pages.filter(({ log }) => log !== 0x04);
    const found = bytesOfFigure({ ...whole, pages }, { metric: 'temperature', place: '' });
    expect(found?.pages.map(({ page }) => page.log)).toEqual([0xe0]);
    expect(found?.pages[0]?.fields).toMatchObject([{ from: 200, to: 200 }]);
    // Without format version 2 or 3 in its first two bytes the page is not believed.
    expect(runsWords(found?.pages[0]?.deciding ?? [])).toBe('bytes 0 to 1');
  });

  test('a sum over three pages names all three (Seagate Commands Reference Rev. J p. 328)', () => {
    expect(fieldsIn('sas-disk', 'uncorrectable-errors-reported')).toEqual([
      'log-sense 2 : bytes 20 to 23, big-endian, = 1',
      'log-sense 3 : bytes 20 to 27, big-endian, = 2',
      'log-sense 5 : bytes 8 to 11, big-endian, = 0',
    ]);
  });

  test('flags and checksum stand beside the figure, not in it', () => {
    const [statistics] = marksIn('healthy-disk', 'interface-crc-errors').pages;
    expect(runsWords(statistics?.deciding ?? [])).toBe('byte 2, byte 31');
    expect(statistics?.checksums).toEqual([]);
    const [smart] = marksIn('healthy-disk', 'start-stops').pages;
    // The last byte makes all 512 add up to zero (Hitachi 7K500 p. 203).
    expect(smart?.checksums).toEqual([511]);
  });
});

test('a figure without a number shows which bytes decide that there is none', () => {
  const { reading, pages } = marksIn('healthy-disk', 'time-over-temperature');
  expect(reading.state).toBe('no-figure');
  expect(pages.map(({ fields }) => fields.length)).toEqual([0]);
  // Byte 87 holds the flags of the figure at byte 80 (Intel SSD 730 p. 21).
  expect(runsWords(pages[0]?.deciding ?? [])).toBe('byte 2, byte 87');
});

test('a number below zero is told with its sign', () => {
  const capture = changedPage(captureOf('healthy-disk'), { log: 4, page: 5 }, (data) => {
    data[8] = 0xfb;
  });
  const found = bytesOfFigure(capture, { metric: 'temperature', place: '' });
  expect(found?.reading.value).toBe(-5);
  const [marks] = found?.pages ?? [];
  const [field] = marks?.fields ?? [];
  if (marks === undefined || field === undefined) throw new Error('The field was not found');
  expect(fieldWords(field, marks.page.data, true)).toBe('byte 8, = -5, with a sign');
});

test('what no record tells has no bytes', () => {
  expect(bytesOfFigure(captureOf('healthy-disk'), { metric: 'fan-speed', place: '' })).toBeNull();
});

/** Each kind of figure once, from the first capture that measures it by the same record. */
function everyFigure(): readonly (readonly [string, string])[] {
  const names = readdirSync(captureFolder)
    .filter((file) => file.endsWith('.json'))
    .map((file) => file.replace('.json', ''));
  const kinds = new Map<string, readonly [string, string]>();
  for (const name of names) {
    for (const figure of figuresOf(captureOf(name))) {
      const kind = `${formatFigureName(figure)} ${figure.source}`;
      const isNew = figure.state === 'measured' && !kinds.has(kind);
      if (isNew) kinds.set(kind, [name, formatFigureName(figure)]);
    }
  }
  return [...kinds.values()];
}

test('every figure of the captures changes when the bytes that were found for it are wiped', () => {
  const figures = everyFigure();
  expect(figures.length).toBeGreaterThan(100);
  for (const [name, figure] of figures) {
    const { reading, pages } = marksIn(name, figure);
    expect(pages.length, `${name} ${figure}`).toBeGreaterThan(0);
    for (const marks of pages) {
      const wiped = [0x00, 0xff].map((filling) => {
        const capture = filled(captureOf(name), marks, filling);
        return effectOf(reading, figureNamed(capture, parseFigureName(figure)));
      });
      const isZero = marks.fields.every(({ number }) => number?.number === 0n);
      const words = `${name} ${figure} ${marks.page.record}`;
      expect(isZero ? wiped[1] : wiped.find((one) => one !== 'none'), words).toMatch(
        /figure|deciding/,
      );
    }
  }
}, 120_000);

function filled(capture: Capture, marks: PageMarks, filling: number): Capture {
  const runs = marks.fields.length > 0 ? marks.fields : marks.deciding;
  return changedPage(capture, marks.page, (data) => {
    for (const { from, to } of runs) data.fill(filling, from, to + 1);
  });
}

function changedPage(
  capture: Capture,
  { log, page }: Pick<RawPage, 'log' | 'page'> & { readonly record?: string },
  change: (data: Uint8Array) => void,
): Capture {
  const pages = capture.pages.map((one) => {
    if (one.log !== log || one.page !== page) return one;
    const data = one.data.slice();
    change(data);
    for (const block of summedBlocks(one)) {
      const at = checksumByte(block);
      const sum = data.subarray(block.start, at).reduce((total, byte) => (total + byte) % 256, 0);
      data[at] = (256 - sum) % 256;
    }
    return { ...one, data };
  });
  return { ...capture, pages };
}
