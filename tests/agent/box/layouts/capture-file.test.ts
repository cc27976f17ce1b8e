import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import {
  formatCaptureFile,
  parseCaptureFile,
} from '../../../../src/agent/box/layouts/capture-file.js';
import { UserError } from '../../../../src/checks/user-error.js';
import { captureFolder, loadHex } from './load-hex.js';

const names = readdirSync(captureFolder)
  .filter((name) => name.endsWith('.hex'))
  .map((name) => name.slice(0, -4));

const head = {
  format: 'bayward-capture',
  version: 1,
  taken: '2026-02-14T09:30:00Z',
  commandSet: 'ata',
};
const file = (pages: readonly unknown[], other: object = {}) =>
  JSON.stringify({ ...head, ...other, pages });

function refusal(text: string): UserError {
  try {
    parseCaptureFile(text);
  } catch (error) {
    if (error instanceof UserError) return error;
    throw error;
  }
  throw new Error('The file was taken');
}

test('there are at least 14 captures, each as text and as file', () => {
  const files = readdirSync(captureFolder).filter((name) => name.endsWith('.json'));
  expect(names.length).toBeGreaterThanOrEqual(14);
  expect(files.map((name) => name.slice(0, -5)).sort()).toEqual([...names].sort());
});

const marks = [
  'standard',
  'vendor document',
  'thread',
  'rule-derived',
  'invented',
  'emulated machine',
];

test.each(names)('%s.hex says where its layout and its values come from', (name) => {
  const text = readFileSync(new URL(`${name}.hex`, captureFolder), 'utf8');
  const said = text.match(/^# Layout: ([a-z, -]+)\. Values: ([a-z, -]+)\.$/gm) ?? [];
  expect(said).toHaveLength(1);
  const [, layout = '', values = ''] = /Layout: (.*)\. Values: (.*)\./.exec(said[0] ?? '') ?? [];
  for (const mark of [layout, values].flatMap((list) => list.split(', '))) {
    expect(marks).toContain(mark);
  }
  expect(layout).not.toMatch(/invented|thread/);
});

test.each(names)('%s.json holds the bytes of %s.hex', (name) => {
  const text = readFileSync(new URL(`${name}.json`, captureFolder), 'utf8');
  expect(JSON.parse(text)).toEqual(loadHex(name));
});

test.each(names)('%s comes back the same after parsing and formatting', (name) => {
  const text = readFileSync(new URL(`${name}.json`, captureFolder), 'utf8');
  const once = parseCaptureFile(text);
  expect(parseCaptureFile(formatCaptureFile(once))).toEqual(once);
  expect(JSON.parse(formatCaptureFile(once))).toEqual(JSON.parse(text));
});

test('a page keeps its numbers, its bytes and its reason', () => {
  const pages = [
    { record: 'log', log: 224, page: 0, data: 'AQID' },
    { record: 'identify-namespace', nsid: 1, failed: { reason: 'The drive was gone' } },
  ];
  expect(parseCaptureFile(file(pages))).toEqual({
    taken: head.taken,
    commandSet: 'ata',
    pages: [
      { record: 'log', log: 224, page: 0, data: Uint8Array.from([1, 2, 3]) },
      {
        record: 'identify-namespace',
        nsid: 1,
        data: new Uint8Array(0),
        failed: { reason: 'The drive was gone' },
      },
    ],
  });
});

describe('refused whole, with a reason', () => {
  const good = { record: 'smart-data', data: 'AQID' };

  test.each([
    ['{"format":', 'not JSON'],
    ['[]', 'must be a JSON object'],
    ['null', 'must be a JSON object'],
    ['{"format":"other"}', 'not a capture'],
    [file([good], { version: 2 }), '"version" must be 1, found 2'],
    [file([good], { commandSet: 'sata' }), 'must be one of ata, nvme, scsi'],
    [file([good], { taken: 'yesterday' }), '"taken" must be a time'],
    [file([good], { taken: '2026-13-40T00:00:00Z' }), '"taken" must be a time'],
    [file([good], { note: 1 }), 'unknown key "note"'],
    [file([{ ...good, extra: 1 }]), 'unknown key "extra"'],
    [file([{ ...good, __proto__x: 1 }]), 'unknown key "__proto__x"'],
    [file([{ ...good, record: 'smart-dat' }]), 'unknown record "smart-dat"'],
    [file([{ ...good, data: 'AQI' }]), 'is not base64'],
    [file([{ ...good, data: 'A!ID' }]), 'is not base64'],
    [file([{ ...good, data: [1, 2] }]), 'must be base64'],
    [file([{ record: 'smart-data' }]), 'must be base64'],
    [file([{ record: 'log', data: 'AQID' }]), '(log) needs "log"'],
    [file([{ record: 'vpd', data: 'AQID' }]), '(vpd) needs "page"'],
    [file([{ record: 'log', log: 256, data: 'AQID' }]), 'whole number from 0 to 255'],
    [file([{ record: 'log', log: -1, data: 'AQID' }]), 'whole number'],
    [file([{ record: 'log', log: 1.5, data: 'AQID' }]), 'whole number'],
    [file([{ record: 'log', log: '4', data: 'AQID' }]), 'whole number'],
    [file([good, good]), 'Pages 1 and 2 are both smart-data'],
    [file([{ ...good, failed: { reason: 'x' } }]), 'both data and "failed"'],
    [file([{ record: 'smart-data', failed: {} }]), '"reason" must be a text'],
    [file([{ record: 'smart-data', failed: { reason: 'a\u001b[2Jb' } }]), 'control characters'],
    [file([{ record: 'smart-data', failed: 'no' }]), 'must be a JSON object'],
    [JSON.stringify({ ...head, pages: {} }), '"pages" must be a list'],
    [JSON.stringify(head), '"pages" must be a list'],
  ])('%s', (text, reason) => {
    const error = refusal(text);
    expect(error.message).toContain(reason);
    expect(error.exitCode).toBe(2);
  });

  test('the nearest known name is offered', () => {
    const record = refusal(file([{ ...good, record: 'smart-dat' }]));
    expect(record.hint).toBe('Perhaps "smart-data"');
    expect(refusal(file([{ ...good, pge: 1 }])).hint).toBe('Perhaps "page"');
  });

  test('absurd sizes', () => {
    const large = refusal(file([{ ...good, data: 'AAAA'.repeat(350_000) }]));
    expect(large.message).toContain('1400000 characters long');
    const many = Array.from({ length: 4097 }, (_, page) => ({ record: 'log', log: 1, page }));
    expect(refusal(file(many)).message).toContain('4097 entries, expected at most 4096');
  });
});
