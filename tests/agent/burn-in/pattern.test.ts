import { deflateSync } from 'node:zlib';
import { expect, test } from 'vitest';
import {
  compareBlock,
  fillingBytes,
  firstUnknown,
  isBlank,
  looksWrapped,
  makePattern,
  stampBuffer,
  stampedBuffer,
  stampOf,
} from '../../../src/agent/burn-in/pattern.js';

const drive = { model: 'Larkspur Invented 1', serial: 'LK4T9021', sizeBytes: 8_000_000_000_000 };
const seed = '00112233445566778899aabbccddeeff';
const options = { seed, pass: 1, drive, sectorBytes: 512 };
const blockBytes = 64 * 512;

function written(fromByte: number, change: Partial<typeof options> = {}, bytes = blockBytes) {
  const buffer = stampedBuffer(new Uint8Array(bytes));
  stampBuffer(makePattern({ ...options, ...change }), buffer, fromByte);
  return buffer;
}

function compare(actual: Uint8Array, fromByte: number) {
  return compareBlock(makePattern(options), { actual, expected: written(fromByte), fromByte });
}

test('a sector says which run, pass, drive and place it was written for', () => {
  // 5 TiB into the drive: LBA 10 737 418 240 is beyond 32 bits.
  const block = written(5 * 1024 ** 4);
  const stamp = stampOf(block.bytes.subarray(512, 1024));
  expect(stamp).toMatchObject({ lba: 10_737_418_241, pass: 1 });
  expect(Buffer.from(block.bytes.subarray(0, 4)).toString('latin1')).toBe('BWRD');
});

test('the same seed, pass and place give the same bytes; another of each gives others', () => {
  const one = written(0).bytes;
  expect(Buffer.compare(one, written(0).bytes)).toBe(0);
  for (const other of [
    written(512),
    written(0, { pass: 2 }),
    written(0, { seed: 'f'.repeat(32) }),
    written(0, { drive: { ...drive, serial: 'LK4T9022' } }),
  ]) {
    expect(Buffer.compare(one, other.bytes)).not.toBe(0);
  }
});

test('a block is the same however it is cut into requests', () => {
  const whole = written(fillingBytes - blockBytes, {}, blockBytes * 3).bytes;
  for (let part = 0; part < 3; part += 1) {
    const piece = written(fillingBytes + (part - 1) * blockBytes).bytes;
    const same = whole.subarray(part * blockBytes, (part + 1) * blockBytes);
    expect(Buffer.compare(piece, same)).toBe(0);
  }
});

test('the filling is not compressible and no two sectors are alike', () => {
  const { bytes } = written(0, {}, fillingBytes);
  // 480 of 512 bytes are filling: at most the 32 of the stamp can be squeezed out.
  expect(deflateSync(bytes).length).toBeGreaterThan((fillingBytes * 480) / 512);
  const sectors = new Set<string>();
  for (let at = 0; at < bytes.length; at += 512) {
    sectors.add(Buffer.from(bytes.subarray(at, at + 512)).toString('base64'));
  }
  expect(sectors.size).toBe(2048);
});

test('what was written is found right', () => {
  expect(compare(written(4096 * 512).bytes, 4096 * 512)).toEqual([]);
});

test.each([
  ['a flipped bit in the filling', 100, 'damaged'],
  ['a flipped bit in the stamp', 17, 'damaged'],
  ['a flipped bit in the last byte', 511, 'damaged'],
] as const)('%s is damage', (_what, at, kind) => {
  const actual = written(0).bytes.slice();
  actual[3 * 512 + at] = actual[3 * 512 + at]! ^ 1;
  expect(compare(actual, 0)).toEqual([{ lba: 3, kind, belongsAt: null }]);
});

test.each([
  ['zero', 0],
  ['FFh', 0xff],
])('a sector of %s was not written: stale', (_what, byte) => {
  const actual = written(0).bytes.slice();
  actual.fill(byte, 512, 1024);
  expect(compare(actual, 0)).toEqual([{ lba: 1, kind: 'stale', belongsAt: null }]);
});

test('a sector of an earlier pass or an earlier run is stale', () => {
  const actual = written(0).bytes.slice();
  actual.set(written(0, { pass: 0 }).bytes.subarray(0, 512), 0);
  actual.set(written(0, { seed: 'a'.repeat(32) }).bytes.subarray(512, 1024), 512);
  expect(compare(actual, 0)).toEqual([
    { lba: 0, kind: 'stale', belongsAt: null },
    { lba: 1, kind: 'stale', belongsAt: null },
  ]);
});

test('a sector that belongs elsewhere on the drive is misplaced', () => {
  const actual = written(0).bytes.slice();
  actual.set(written(900 * 512).bytes.subarray(0, 512), 5 * 512);
  expect(compare(actual, 0)).toEqual([{ lba: 5, kind: 'misplaced', belongsAt: 900 }]);
});

test('a sector of another drive is told from one of this', () => {
  const actual = written(0).bytes.slice();
  const other = written(0, { drive: { ...drive, serial: 'TV-000111' } });
  actual.set(other.bytes.subarray(0, 512), 0);
  expect(compare(actual, 0)).toEqual([{ lba: 0, kind: 'other-drive', belongsAt: null }]);
});

test('addresses that go round show later places all over the start, one wrong block does not', () => {
  const all = (belongs: (lba: number) => number | null) =>
    looksWrapped([0, 10, 20, 30, 40, 50, 60, 70].map((lba) => ({ lba, belongsAt: belongs(lba) })));
  expect(all((lba) => lba + 1000)).toBe(true);
  expect(all((lba) => (lba === 0 ? 1000 : lba))).toBe(false);
  expect(all(() => null)).toBe(false);
  expect(looksWrapped([])).toBe(false);
});

test('4096-byte sectors carry the stamp of their own numbering', () => {
  const native = makePattern({ ...options, sectorBytes: 4096 });
  const buffer = stampedBuffer(new Uint8Array(16 * 4096));
  stampBuffer(native, buffer, 8 * 4096);
  expect(stampOf(buffer.bytes.subarray(4096, 8192))).toMatchObject({ lba: 9 });
});

test('blank means all zero or all FFh, and nothing else', () => {
  expect(isBlank(new Uint8Array(4096))).toBe(true);
  expect(isBlank(new Uint8Array(4096).fill(0xff))).toBe(true);
  for (const at of [0, 1, 2048, 4094, 4095]) {
    for (const base of [0, 0xff]) {
      const bytes = new Uint8Array(4096).fill(base);
      bytes[at] = base ^ 0x40;
      expect(isBlank(bytes), `byte ${at} of ${base}`).toBe(false);
    }
  }
  expect(isBlank(new Uint8Array(4096).fill(0x20))).toBe(false);
});

test('unknown is what is neither blank nor a whole stamp of ours', () => {
  const bytes = new Uint8Array(8 * 512);
  bytes.fill(0xff, 512, 1024);
  bytes.set(written(0).bytes.subarray(0, 512), 1024);
  expect(firstUnknown(bytes, 512)).toBe(null);
  bytes[1024 + 8] = bytes[1024 + 8]! ^ 1;
  expect(firstUnknown(bytes, 512)).toBe(1024);
  bytes.fill(0, 1024, 1536);
  bytes[8 * 512 - 1] = 1;
  expect(firstUnknown(bytes, 512)).toBe(7 * 512);
});

test('a pattern for sectors that cannot be is refused', () => {
  expect(() => makePattern({ ...options, sectorBytes: 520 })).toThrow(RangeError);
});
