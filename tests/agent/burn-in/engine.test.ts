import { expect, test } from 'vitest';
import { measured } from '../../../src/checks/reading.js';
import { UserError } from '../../../src/checks/user-error.js';
import { counters, journalledRanges, makeTrialBox, settle, untilQuiet } from './trial-box.js';

const erase = { drive: 'LK4T9021', erase: true, digits: '9021', askedFrom: 'box' } as const;

test('a sound drive is read, written, verified and kept', async () => {
  const trial = makeTrialBox();
  const run = await trial.engine.start(erase);
  await untilQuiet(trial, run);
  const row = trial.store.rows[0]!;
  expect(row.state).toBe('finished');
  expect(row.verdict?.advice).toBe('keep');
  expect(row.verdict?.reasons).toEqual([]);
  const stages = trial.store.entries
    .filter(({ kind }) => kind === 'result')
    .map(({ body }) => body.stage ?? 'verdict');
  expect(stages).toEqual([
    'readings-before',
    'full-read',
    'stamped-write',
    'verify',
    'readings-after',
    'verdict',
  ]);
});

test('every written byte lies in a range whose intent stood in the journal before', async () => {
  const trial = makeTrialBox();
  const outside: unknown[] = [];
  trial.drive.onWrite = (range) => {
    const isInside = journalledRanges(trial.store).some(
      ({ fromByte, toByte }) => fromByte <= range.fromByte && range.toByte <= toByte,
    );
    if (!isInside) outside.push(range);
  };
  const run = await trial.engine.start(erase);
  await untilQuiet(trial, run);
  expect(trial.drive.writes.length).toBeGreaterThan(0);
  expect(outside).toEqual([]);
  const written = trial.drive.writes.reduce((sum, one) => sum + one.toByte - one.fromByte, 0);
  expect(written).toBe(trial.drive.bytes.length);
});

test('a run that only reads writes nothing and does not end in plain keep', async () => {
  const trial = makeTrialBox();
  trial.drive.bytes.fill(0x41);
  const run = await trial.engine.start({ drive: 'LK4T9021', erase: false, askedFrom: 'page' });
  await untilQuiet(trial, run);
  expect(trial.store.rows[0]?.verdict?.advice).toBe('keep-check-again');
  expect(trial.drive.writes).toEqual([]);
  expect(trial.drive.opens.every(({ write }) => !write)).toBe(true);
});

test('an unreadable sector is named by its address before it is overwritten', async () => {
  const trial = makeTrialBox();
  trial.drive.unreadable.set(1000, 'unreadable');
  const run = await trial.engine.start({ ...erase, eraseFound: 'unreadable-place' });
  await untilQuiet(trial, run);
  const row = trial.store.rows[0]!;
  expect(row.verdict?.advice).toBe('return');
  expect(row.verdict?.reasons[0]).toMatchObject({ code: 'unreadable-sectors', measured: 1 });
  const found = trial.store.entries.flatMap(({ body }) => (body.errors as unknown[]) ?? []);
  expect(found).toEqual([{ lba: 1000, kind: 'unreadable' }]);
  const told = trial.store.entries.filter(({ body }) => body.event === 'enough-to-return');
  expect(told).toHaveLength(1);
});

test.each([
  ['dropped', 'lost-writes', 'stale'],
  ['moved', 'misplaced-sectors', 'misplaced'],
  ['wrapped', 'false-capacity', 'wrapped'],
] as const)('a drive with %s writes is returned for %s', async (fault, code, kind) => {
  const trial = makeTrialBox();
  if (fault === 'dropped') trial.drive.dropped.add(77);
  if (fault === 'moved') trial.drive.moved.set(3000, 77);
  if (fault === 'wrapped') trial.drive.trueSectors = 2048;
  const run = await trial.engine.start(erase);
  await untilQuiet(trial, run);
  const verdict = trial.store.rows[0]?.verdict;
  expect(verdict?.advice).toBe('return');
  expect(verdict?.reasons.map((reason) => reason.code)).toContain(code);
  const kinds = trial.store.entries.flatMap(({ body }) =>
    ((body.errors as { kind: string }[]) ?? []).map((error) => error.kind),
  );
  expect(kinds).toContain(kind);
});

test('growth of a damage counter during the run speaks against the drive', async () => {
  const trial = makeTrialBox({
    parts: {
      takeReadings: async (_drive, when) =>
        counters({ 'reallocated-sectors': when === 'after' ? 8 : 0 }),
    },
  });
  const run = await trial.engine.start(erase);
  await untilQuiet(trial, run);
  const verdict = trial.store.rows[0]?.verdict;
  expect(verdict?.advice).toBe('return');
  expect(verdict?.reasons).toEqual([
    { code: 'grew:reallocated-sectors', measured: 8, expected: 0, source: 'invented record' },
  ]);
});

test('pause holds the drive where it is, resume goes on, and the end is the same', async () => {
  const trial = makeTrialBox();
  const run = await trial.engine.start(erase);
  while (trial.drive.writes.length < 4) await new Promise((resolve) => setImmediate(resolve));
  await trial.engine.pause(run);
  await settle();
  expect(trial.store.rows[0]?.state).toBe('paused');
  const writes = trial.drive.writes.length;
  await settle();
  expect(trial.drive.writes).toHaveLength(writes);
  await trial.engine.resume(run);
  await untilQuiet(trial, run);
  expect(trial.store.rows[0]?.verdict?.advice).toBe('keep');
});

test('a stopped run ends in not fully tested and says what was skipped', async () => {
  const trial = makeTrialBox();
  const run = await trial.engine.start(erase);
  while (trial.drive.writes.length < 4) await new Promise((resolve) => setImmediate(resolve));
  await trial.engine.stop(run);
  await untilQuiet(trial, run);
  const row = trial.store.rows[0]!;
  expect(row.state).toBe('stopped');
  expect(row.verdict?.advice).toBe('not-fully-tested');
  expect(row.verdict?.skipped).toContain('The rest of the run, since it was stopped');
  await expect(trial.engine.resume(run)).rejects.toThrow(UserError);
});

test('a drive that goes away interrupts the run; back again, it is verified and finished', async () => {
  const trial = makeTrialBox();
  const run = await trial.engine.start(erase);
  while (trial.drive.writes.length < 5) await new Promise((resolve) => setImmediate(resolve));
  trial.drive.isGone = true;
  await untilQuiet(trial, run);
  expect(trial.store.rows[0]?.state).toBe('interrupted');
  trial.drive.isGone = false;
  await trial.engine.resume(run);
  await untilQuiet(trial, run);
  const verdict = trial.store.rows[0]?.verdict;
  expect(verdict?.advice).toBe('keep-check-again');
  expect(verdict?.reasons.map(({ code }) => code)).toEqual(['drive-went-away']);
  expect(trial.store.entries.some(({ body }) => body.event === 'rechecked')).toBe(true);
});

test('heat pauses the work below the limit of the drive and cooling lets it go on', async () => {
  const degrees = [56, 56, 49, 30];
  const trial = makeTrialBox({
    sizeBytes: 2 * 1024 * 1024,
    parts: {
      takeReadings: async (_drive, when) =>
        when === 'during'
          ? counters({ temperature: degrees.shift() ?? 30, 'temperature-limit': 60 })
          : counters(),
    },
  });
  const run = await trial.engine.start(erase);
  for (let turn = 0; turn < 5000 && trial.store.rows[0]?.state !== 'finished'; turn += 1) {
    await new Promise((resolve) => setImmediate(resolve));
  }
  const events = trial.store.entries.map(({ body }) => body.event).filter((event) => event);
  expect(run).toBe(1);
  expect(events).toContain('paused');
  expect(events.indexOf('resumed')).toBeGreaterThan(events.indexOf('paused'));
  expect(trial.store.rows[0]?.verdict?.advice).toBe('keep');
});

test('a limit of cold is not taken for one of heat', async () => {
  const cold = { metric: 'temperature-limit', unit: 'celsius', source: 'a record' } as const;
  const trial = makeTrialBox({
    sizeBytes: 2 * 1024 * 1024,
    parts: {
      takeReadings: async (_drive, when) =>
        when === 'during'
          ? [...counters({ temperature: 31 }), measured({ ...cold, place: 'lowest allowed' }, 5)]
          : counters(),
    },
  });
  await trial.engine.start(erase);
  for (let turn = 0; turn < 5000 && trial.store.rows[0]?.state !== 'finished'; turn += 1) {
    await new Promise((resolve) => setImmediate(resolve));
  }
  const events = trial.store.entries.map(({ body }) => body.event);
  expect(events).toContain('temperature');
  expect(events).not.toContain('paused');
  expect(trial.store.rows[0]?.state).toBe('finished');
});

test('a store that fails stops the work, and nothing is written without an intent', async () => {
  const trial = makeTrialBox();
  const run = await trial.engine.start(erase);
  while (trial.drive.writes.length < 4) await new Promise((resolve) => setImmediate(resolve));
  trial.store.cutAt = { append: trial.store.appends + 1, keeps: false };
  await settle();
  expect(trial.engine.running().find((work) => work.run === run)?.state).toBe('interrupted');
  const writes = trial.drive.writes.length;
  await settle();
  expect(trial.drive.writes).toHaveLength(writes);
});
