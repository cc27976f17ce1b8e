import { expect, test } from 'vitest';
import { journalledRanges, makeTrialBox, settle, type TrialBox, untilQuiet } from './trial-box.js';

const erase = { drive: 'LK4T9021', erase: true, digits: '9021', askedFrom: 'box' } as const;
const sizeBytes = 1024 * 1024;

/** Counts every written range that no intent in the journal covers at that moment. */
function observe(trial: TrialBox): { outside: number } {
  const seen = { outside: 0 };
  trial.drive.onWrite = (range) => {
    const isInside = journalledRanges(trial.store).some(
      ({ fromByte, toByte }) => fromByte <= range.fromByte && range.toByte <= toByte,
    );
    if (!isInside) seen.outside += 1;
  };
  return seen;
}

/** A small generator with a seed (mulberry32, public domain, from memory). */
function chance(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 0x1_0000_0000;
  };
}

async function uninterrupted() {
  const trial = makeTrialBox({ sizeBytes });
  const run = await trial.engine.start(erase);
  await untilQuiet(trial, run);
  return { appends: trial.store.appends, verdict: trial.store.rows[0]!.verdict };
}

async function startAndCut(trial: TrialBox, cut: { append: number; keeps: boolean }) {
  trial.store.cutAt = cut;
  await trial.engine.start(erase).catch(() => undefined);
  await settle();
}

test('cut before or after any row, a run ends with the same verdict and writes nothing else', async () => {
  const whole = await uninterrupted();
  expect(whole.appends).toBeGreaterThan(20);
  let finished = 0;
  for (let append = 1; append <= whole.appends; append += 1) {
    for (const keeps of [true, false]) {
      const trial = makeTrialBox({ sizeBytes });
      const seen = observe(trial);
      await startAndCut(trial, { append, keeps });
      const isNewBoot = append % 2 === 0;
      const random = chance(append * 2 + Number(keeps));
      if (isNewBoot) trial.drive.losePower(() => random() < 0.5);
      await trial.restart(isNewBoot ? 'boot-two' : undefined);
      await untilQuiet(trial, 1);
      const label = `cut ${keeps ? 'after' : 'before'} row ${append}`;
      expect(seen.outside, label).toBe(0);
      expect(trial.store.rows[0]?.verdict, label).toEqual(whole.verdict);
      finished += 1;
    }
  }
  expect(finished).toBe(whole.appends * 2);
}, 180_000);

test('cut again and again at random rows, a run still ends with the same verdict', async () => {
  const whole = await uninterrupted();
  for (let round = 1; round <= 12; round += 1) {
    const random = chance(round);
    const trial = makeTrialBox({ sizeBytes });
    const seen = observe(trial);
    await startAndCut(trial, { append: 2 + Math.floor(random() * 20), keeps: random() < 0.5 });
    for (let more = 0; more < 3; more += 1) {
      const isNewBoot = random() < 0.5;
      if (isNewBoot) trial.drive.losePower(() => random() < 0.5);
      const cut = {
        append: trial.store.appends + 1 + Math.floor(random() * 6),
        keeps: random() < 0.5,
      };
      await trial.restart(isNewBoot ? `boot-${more + 2}` : undefined, cut);
      await settle();
    }
    await trial.restart('boot-last');
    await untilQuiet(trial, 1);
    expect(seen.outside, `round ${round}`).toBe(0);
    expect(trial.store.rows[0]?.verdict, `round ${round}`).toEqual(whole.verdict);
  }
}, 120_000);

test('a power cut is an event and nothing against the drive', async () => {
  const trial = makeTrialBox({ sizeBytes });
  await startAndCut(trial, { append: 14, keeps: true });
  trial.drive.losePower(() => true);
  await trial.restart('boot-two');
  await untilQuiet(trial, 1);
  const restarts = trial.store.entries.filter(({ body }) => body.event === 'restarted');
  expect(restarts.map(({ body }) => body.after)).toEqual(['power-cut']);
  expect(trial.store.rows[0]?.verdict?.advice).toBe('keep');
});

test('what a drive had confirmed and lost at a power cut is found, rewritten and told', async () => {
  const trial = makeTrialBox({ sizeBytes: 2 * sizeBytes });
  trial.drive.flushLies = true;
  await startAndCut(trial, { append: 20, keeps: true });
  let sectors = 0;
  trial.drive.losePower(() => {
    sectors += 1;
    return sectors <= 3;
  });
  await trial.restart('boot-two');
  await untilQuiet(trial, 1);
  const verdict = trial.store.rows[0]?.verdict;
  expect(verdict?.advice).toBe('keep-check-again');
  expect(verdict?.reasons.map(({ code }) => code)).toEqual(['flushed-data-lost']);
  expect(verdict?.proven).toContain('Every sector was written and gave back what was written');
});

test('a drive on which nothing of the run is found any more is not written again', async () => {
  const trial = makeTrialBox({ sizeBytes });
  await startAndCut(trial, { append: 14, keeps: true });
  const before = trial.drive.writes.length;
  expect(before).toBeGreaterThan(0);
  trial.drive.bytes.fill(0);
  await trial.restart('boot-two');
  await untilQuiet(trial, 1);
  expect(trial.store.rows[0]?.state).toBe('interrupted');
  expect(trial.drive.writes).toHaveLength(before);
  await trial.engine.resume(1);
  await untilQuiet(trial, 1);
  expect(trial.drive.writes).toHaveLength(before);
});

test('another drive in the place of the first is not touched', async () => {
  const trial = makeTrialBox({ sizeBytes });
  await startAndCut(trial, { append: 14, keeps: true });
  const before = trial.drive.writes.length;
  trial.drive.seen = { ...trial.drive.seen, serial: 'OTHER001', id: 'OTHER001' };
  await trial.restart('boot-two');
  await untilQuiet(trial, 1);
  const last = trial.store.entries.at(-1)?.body;
  expect(last).toMatchObject({ event: 'interrupted', code: 'drive-missing' });
  expect(trial.drive.writes).toHaveLength(before);
});

test('the child refuses a drive whose descriptor tells of another one', async () => {
  const trial = makeTrialBox({ sizeBytes });
  await startAndCut(trial, { append: 14, keeps: true });
  const before = trial.drive.writes.length;
  trial.drive.identity = { ...trial.drive.identity, serial: 'OTHER001' };
  await trial.restart();
  await untilQuiet(trial, 1);
  const last = trial.store.entries.at(-1)?.body;
  expect(last).toMatchObject({ event: 'interrupted', code: 'not-same-drive' });
  expect(trial.drive.writes).toHaveLength(before);
});

test('an unknown row in the journal keeps the run from being resumed', async () => {
  const trial = makeTrialBox({ sizeBytes });
  await startAndCut(trial, { append: 14, keeps: true });
  const before = trial.drive.writes.length;
  trial.store.restart();
  const at = trial.store.entries[0]!.at;
  trial.store.appendJournal(1, at, 'event', { event: 'of a later version' });
  await trial.restart();
  await settle();
  expect(trial.store.rows[0]?.state).toBe('interrupted');
  expect(trial.drive.writes).toHaveLength(before);
  await trial.engine.stop(1);
  expect(trial.store.rows[0]).toMatchObject({ state: 'stopped', verdict: null });
});

test('an orderly stop of the agent is told apart from a power cut', async () => {
  const trial = makeTrialBox({ sizeBytes });
  await trial.engine.start(erase);
  while (trial.drive.writes.length < 2) await new Promise((resolve) => setImmediate(resolve));
  await trial.engine.close();
  await trial.restart('boot-two');
  await untilQuiet(trial, 1);
  const restarts = trial.store.entries.filter(({ body }) => body.event === 'restarted');
  expect(restarts.map(({ body }) => body.after)).toEqual(['stop-of-agent']);
  expect(trial.store.rows[0]?.verdict?.advice).toBe('keep');
});
