import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  decodeFromWorker,
  decodeToWorker,
  encodeFromWorker,
  encodeToWorker,
  messageTextMax,
} from '../../../src/agent/workers/protocol.js';
import type { FromWorker, ToWorker } from '../../../src/agent/workers/protocol-types.js';

const drive = {
  address: { devicePath: '/dev/sdb', deviceNumber: '8:16', reachedBy: 'ata' },
  serial: 'LK4T9021',
  model: 'Larkspur Invented 1',
  sizeBytes: 1_000_204_886_016,
  diskSequence: '7',
} as const;

const toWorker: readonly ToWorker[] = [
  {
    do: 'write',
    drive,
    fromByte: 0,
    toByte: 4096,
    run: 3,
    seed: '0123456789abcdef0123456789abcdef',
    pass: 1,
    stretchBytes: 4096,
    blockBytes: 4096,
    consented: ['gpt', 'unknown-data'],
  },
  { do: 'speed', drive, places: [0, 1024 * 1024], bytesPerPlace: 65_536 },
  { do: 'capture', drive: { ...drive, diskSequence: null } },
  { go: true },
  { pause: false },
  { stop: true },
];

const fromWorker: readonly FromWorker[] = [
  { ready: true, version: 1 },
  { alive: true, atByte: 17 },
  { ask: 'write', fromByte: 0, toByte: 4096 },
  {
    progress: {
      fromByte: 0,
      toByte: 4096,
      seconds: 0.25,
      errors: [{ lba: 5, kind: 'unreadable' }],
      unlisted: { damaged: 12 },
      unlocatedBytes: 512,
      unknownAt: 1024,
      places: [{ place: 999, bytes: 4096, seconds: 0.25 }],
    },
  },
  {
    speed: {
      direction: 'read',
      streams: 1,
      place: 0,
      bytesPerSecond: 2.5e8,
      low: 2e8,
      high: 3e8,
      seconds: 1.5,
      conditions: { temperature: null, otherLoad: 0, linkSpeed: null, lanes: null },
      complete: true,
    },
  },
  {
    captured: {
      taken: '2024-05-01T10:00:00.000Z',
      commandSet: 'ata',
      pages: [{ record: 'log', log: 4, page: 1, data: new Uint8Array([1, 2, 255]) }],
    },
  },
  { refused: { code: 'in-use', text: 'It is mounted' } },
  { done: true },
];

test('every message comes out as it went in', () => {
  for (const message of toWorker) {
    expect(decodeToWorker(encodeToWorker(message))).toEqual({ ok: true, message });
  }
  for (const message of fromWorker) {
    expect(decodeFromWorker(encodeFromWorker(message))).toEqual({ ok: true, message });
  }
});

test.each([
  ['not a text', 5],
  ['not JSON', '{'],
  ['no known kind', '{"do":"format"}'],
  ['an unknown field', '{"go":true,"also":1}'],
  ['a wrong kind of field', '{"pause":"yes"}'],
  ['a negative byte', encodeToWorker({ ...toWorker[0], fromByte: -1 } as ToWorker)],
  ['a fraction of a byte', encodeToWorker({ ...toWorker[0], toByte: 0.5 } as ToWorker)],
  ['a bad seed', encodeToWorker({ ...toWorker[0], seed: 'x' } as ToWorker)],
  ['a list', '[]'],
  ['null', 'null'],
  ['too long', ' '.repeat(messageTextMax.toWorker + 1)],
])('the worker refuses %s', (_what, text) => {
  expect(decodeToWorker(text).ok).toBe(false);
});

test('the parent refuses a list of errors without end, and an infinite figure', () => {
  const errors = Array.from({ length: 257 }, (_, lba) => ({ lba, kind: 'damaged' }));
  const progress = { fromByte: 0, toByte: 512, seconds: 1, errors };
  expect(decodeFromWorker(JSON.stringify({ progress })).ok).toBe(false);
  const endless = '{"progress":{"fromByte":0,"toByte":512,"seconds":1e999,"errors":[]}}';
  expect(decodeFromWorker(endless).ok).toBe(false);
});

test('no text and no value makes a decoder throw', () => {
  fc.assert(
    fc.property(fc.oneof(fc.string(), fc.json(), fc.anything()), (text) => {
      expect(typeof decodeToWorker(text).ok).toBe('boolean');
      expect(typeof decodeFromWorker(text).ok).toBe('boolean');
    }),
    { seed: 20_240_501, numRuns: 500 },
  );
});
