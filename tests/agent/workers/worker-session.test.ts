import { expect, test } from 'vitest';
import type { BlockTask, FromWorker } from '../../../src/agent/workers/protocol-types.js';
import { asDriveSeen, expectedOf } from '../../../src/agent/workers/prove-drive.js';
import type { Worker } from '../../../src/agent/workers/worker.js';
import { inProcessWorker } from '../../box/in-process-worker.js';
import { boxWith, MemoryDrive, makeStillClock } from '../burn-in/memory-drive.js';

const seed = '00112233445566778899aabbccddeeff';
const sizeBytes = 1024 * 1024;

function prepared() {
  const clock = makeStillClock();
  const drive = new MemoryDrive({ sizeBytes, clock });
  const reasons: string[] = [];
  const start = inProcessWorker(boxWith(drive), clock, {
    inUse: async () => reasons,
    capture: async () => ({ taken: '', commandSet: 'ata', pages: [] }),
  });
  const task = (change: Partial<BlockTask>): BlockTask => ({
    do: 'write',
    drive: expectedOf(drive.seen),
    fromByte: 0,
    toByte: sizeBytes,
    run: 1,
    seed,
    pass: 1,
    stretchBytes: sizeBytes / 4,
    blockBytes: 65_536,
    ...change,
  });
  const work = async (change: Partial<BlockTask>, hear = grant) => {
    const messages: FromWorker[] = [];
    const worker: Worker = start(task(change), {
      onMessage: (message) => {
        messages.push(message);
        hear(worker, message);
      },
    });
    const result = await worker.ended;
    const errors = messages.flatMap((one) => ('progress' in one ? one.progress.errors : []));
    return { result, messages, errors };
  };
  return { drive, clock, reasons, work };
}

function grant(worker: Worker, message: FromWorker): void {
  if ('ask' in message) worker.send({ go: true });
}

test('nothing is written before it is granted, and never beyond the grant', async () => {
  const { drive, work } = prepared();
  let granted = 0;
  drive.onWrite = ({ toByte }) => expect(toByte).toBeLessThanOrEqual(granted);
  const { result, messages } = await work({}, (worker, message) => {
    if (!('ask' in message)) return;
    granted = message.toByte;
    worker.send({ go: true });
  });
  expect(result.reason).toBe('done');
  expect(messages.filter((one) => 'ask' in one)).toHaveLength(4);
  expect(drive.flushes).toBe(4);
});

test('without a grant nothing is written, and a closed channel ends the waiting', async () => {
  const { drive, work } = prepared();
  const { result } = await work({}, (worker, message) => {
    if ('ask' in message) worker.cancel();
  });
  expect(result.reason).toBe('cancelled');
  expect(drive.writes).toEqual([]);
});

test('told to stop in the middle, it stops after the blocks in hand', async () => {
  const { drive, work } = prepared();
  drive.onWrite = () => undefined;
  const { result } = await work({}, (worker, message) => {
    if ('ask' in message) {
      worker.send({ go: true });
      drive.onWrite = () => worker.cancel();
    }
  });
  expect(result.reason).toBe('cancelled');
  expect(drive.writes.length).toBeLessThanOrEqual(2);
});

test.each([
  ['device number', { deviceNumber: '8:32' }],
  ['disk sequence', { diskSequence: '8' }],
  ['size in bytes', { sizeBytes: sizeBytes + 512 }],
  ['model', { model: 'Larkspur Invented 2' }],
  ['serial', { serial: 'LK4T9022' }],
])('another %s through the open descriptor is refused', async (name, change) => {
  const { drive, work } = prepared();
  drive.identity = { ...drive.identity, ...change };
  for (const kind of ['read', 'write', 'verify'] as const) {
    const { result } = await work({ do: kind });
    expect(result).toMatchObject({ reason: 'refused', code: 'not-same-drive' });
    expect(result.text).toContain(name);
  }
  expect(drive.writes).toEqual([]);
  expect(drive.exclusive).toBe(false);
});

test('a drive in use or held by something is refused before anything else', async () => {
  const { drive, reasons, work } = prepared();
  reasons.push('It is mounted');
  expect((await work({})).result).toMatchObject({ code: 'in-use', text: 'It is mounted' });
  expect(drive.opens).toEqual([]);
  reasons.pop();
  drive.holders = 1;
  expect((await work({})).result).toMatchObject({ reason: 'refused', code: 'held' });
  expect(drive.writes).toEqual([]);
});

test.each<[string, Partial<BlockTask>]>([
  ['beyond the drive', { toByte: sizeBytes + 512 }],
  ['backwards', { fromByte: 1024, toByte: 512 }],
  ['not on sectors', { fromByte: 100 }],
  ['in blocks of no size', { blockBytes: 0 }],
  ['in stretches of more than 1 GiB', { stretchBytes: 2 * 1024 ** 3 }],
])('a range %s is refused', async (_what, change) => {
  const { drive, work } = prepared();
  expect((await work(change)).result).toMatchObject({ reason: 'refused', code: 'bad-task' });
  expect(drive.writes).toEqual([]);
});

test('unknown data is refused by its place, unless just that was agreed to', async () => {
  const { drive, work } = prepared();
  drive.bytes.set(Buffer.from('XFSB'), 0);
  const { result } = await work({ consented: ['unknown-data'] });
  expect(result).toMatchObject({ reason: 'refused', code: 'holds-unknown-data' });
  expect(result.text).toContain('XFS file system at byte 0');
  expect(drive.writes).toEqual([]);
  expect((await work({ consented: ['unknown-data', 'xfs'] })).result.reason).toBe('done');
});

test('bad sectors are found one by one, each with its class', async () => {
  const { drive, work } = prepared();
  for (const [sector, kind] of [
    [5, 'unreadable'],
    [6, 'unreadable'],
    [700, 'aborted'],
    [2047, 'damaged'],
  ] as const) {
    drive.unreadable.set(sector, kind);
  }
  const { result, errors } = await work({ do: 'read' });
  expect(result.reason).toBe('done');
  expect(errors).toEqual([
    { lba: 5, kind: 'unreadable' },
    { lba: 6, kind: 'unreadable' },
    { lba: 700, kind: 'aborted' },
    { lba: 2047, kind: 'damaged' },
  ]);
});

test('a wide bad area is not divided for ever: the rest is counted in bytes', async () => {
  const { drive, work } = prepared();
  for (let sector = 0; sector < 128; sector += 1) drive.unreadable.set(sector, 'unreadable');
  const { result, messages, errors } = await work({ do: 'read' });
  expect(result.reason).toBe('done');
  const unlocated = messages.reduce(
    (sum, one) => sum + ('progress' in one ? (one.progress.unlocatedBytes ?? 0) : 0),
    0,
  );
  expect(errors.length).toBeGreaterThan(30);
  expect(errors.length).toBeLessThan(128);
  expect(unlocated).toBe(65_536 - errors.length * 512);
});

test('requests without an end are passed by a few times when reading, then given up', async () => {
  const { drive, work } = prepared();
  drive.unreadable.set(10, 'timed-out');
  const once = await work({ do: 'read' });
  expect(once.result.reason).toBe('done');
  expect(once.errors).toEqual([{ lba: 0, kind: 'timed-out' }]);
  for (const sector of [200, 400, 600]) drive.unreadable.set(sector, 'timed-out');
  const { result } = await work({ do: 'read' });
  expect(result).toMatchObject({ reason: 'refused', code: 'too-slow' });
});

test('a write without an end is never followed by another', async () => {
  const { drive, work } = prepared();
  drive.unwritable.set(0, 'timed-out');
  const { result, messages } = await work({});
  expect(result).toMatchObject({ reason: 'refused', code: 'too-slow' });
  expect(drive.writes.length).toBeLessThanOrEqual(2);
  const last = messages.flatMap((one) => ('progress' in one ? [one.progress] : [])).at(-1);
  expect(last).toMatchObject({ fromByte: 0, toByte: 0, errors: [{ lba: 0, kind: 'timed-out' }] });
});

test('a sector that takes no data is named and the rest is written', async () => {
  const { drive, work } = prepared();
  drive.unwritable.set(333, 'unreadable');
  const { result, errors } = await work({});
  expect(result.reason).toBe('done');
  expect(errors).toEqual([{ lba: 333, kind: 'unwritable' }]);
  const verified = await work({ do: 'verify' });
  expect(verified.errors).toEqual([{ lba: 333, kind: 'stale' }]);
});

test('what fails as a block and then reads well is still told', async () => {
  const { drive, work } = prepared();
  const read = drive.read.bind(drive);
  let failures = 1;
  drive.read = async (offset, buffer) => {
    if (offset === 65_536 && failures > 0) {
      failures -= 1;
      return { ok: false, absence: { kind: 'unreadable', text: 'once' } };
    }
    return read(offset, buffer);
  };
  expect((await work({ do: 'read' })).errors).toEqual([{ lba: 128, kind: 'unreadable' }]);
});

test('a transfer that moved too few bytes is not taken for a good one', async () => {
  const { drive, work } = prepared();
  const read = drive.read.bind(drive);
  drive.read = async (offset, buffer) => {
    const answer = await read(offset, buffer);
    return offset === 0 && answer.ok ? { ok: true, value: buffer.length - 512 } : answer;
  };
  const { errors } = await work({ do: 'read' });
  expect(errors).toEqual([{ lba: 0, kind: 'aborted' }]);
});

test('a long list of errors is cut and the rest is counted by kind', async () => {
  const { drive, work } = prepared();
  const { messages, errors } = await work({ do: 'verify' });
  expect(drive.writes).toEqual([]);
  const stretches = messages.flatMap((one) => ('progress' in one ? [one.progress] : []));
  expect(stretches.map((one) => one.errors.length)).toEqual([256, 256, 256, 256]);
  expect(stretches.map((one) => one.unlisted)).toEqual(Array(4).fill({ stale: 256 }));
  expect(errors[0]).toEqual({ lba: 0, kind: 'stale' });
});

test('time is kept for each thousandth of the surface', async () => {
  const { work } = prepared();
  const { messages } = await work({ do: 'read' });
  const places = messages.flatMap((one) => ('progress' in one ? (one.progress.places ?? []) : []));
  expect(places.reduce((sum, one) => sum + one.bytes, 0)).toBe(sizeBytes);
  // 16 blocks of a 16th each begin at every 62.5th thousandth.
  expect(places.map((one) => one.place).slice(0, 4)).toEqual([0, 62, 125, 187]);
  // 200 MB/s in memory: 65 536 bytes take 0.33 ms.
  expect(places[0]?.seconds).toBeCloseTo(0.000_66, 3);
});

test('the drive of a task is the drive that was seen', () => {
  const { drive } = prepared();
  expect(expectedOf(asDriveSeen(expectedOf(drive.seen)))).toEqual(expectedOf(drive.seen));
});
