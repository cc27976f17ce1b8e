import { describe, expect, it } from 'vitest';
import type { RunningWork } from '../../src/checks/request.js';
import {
  type ArrayActivity,
  type SwitchOffFacts,
  safeToSwitchOff,
} from '../../src/checks/safe-to-switch-off.js';

const nowMs = Date.UTC(2026, 2, 12, 20, 0);

const burnIn: RunningWork = {
  kind: 'burn-in',
  run: 1,
  drive: 'TV-1',
  stage: 'full-read',
  state: 'running',
  erases: false,
  doneBytes: 0,
  totalBytes: 100,
  bytesPerSecond: 1,
  secondsLeft: 3600,
  errors: 0,
};
const array: ArrayActivity = {
  name: 'Array "archive", RAID 6',
  doing: 'nothing',
  mayStillFail: 1,
  secondsLeft: null,
};
const idle: SwitchOffFacts = { running: [], arrays: [array], selfTests: [], nowMs };

function answerTo(facts: Partial<SwitchOffFacts>) {
  return safeToSwitchOff({ ...idle, ...facts });
}

describe('safeToSwitchOff', () => {
  it.each([
    ['nothing runs', {}, 'yes', null],
    ['a paused burn-in', { running: [{ ...burnIn, state: 'paused' as const }] }, 'yes', null],
    [
      'an interrupted burn-in',
      { running: [{ ...burnIn, state: 'interrupted' as const }] },
      'yes',
      null,
    ],
    ['a running burn-in', { running: [burnIn] }, 'no-until', nowMs + 3600_000],
    ['a run of unknown length', { running: [{ ...burnIn, secondsLeft: null }] }, 'no-until', null],
    [
      'a run whose length is no number',
      { running: [{ ...burnIn, secondsLeft: Number.NaN }] },
      'no-until',
      null,
    ],
    [
      'two runs, the later end counts',
      { running: [burnIn, { ...burnIn, kind: 'speed' as const, secondsLeft: 7200 }] },
      'no-until',
      nowMs + 7_200_000,
    ],
    [
      'an array check',
      { arrays: [{ ...array, doing: 'checking' as const, secondsLeft: 60 }] },
      'no-until',
      nowMs + 60_000,
    ],
    [
      'a rebuild with redundancy left',
      { arrays: [{ ...array, doing: 'rebuilding' as const, secondsLeft: 60 }] },
      'no-until',
      nowMs + 60_000,
    ],
    [
      'a rebuild without redundancy',
      { arrays: [{ ...array, doing: 'rebuilding' as const, mayStillFail: 0, secondsLeft: 60 }] },
      'no-danger',
      nowMs + 60_000,
    ],
    [
      'a self-test of a drive, whose end nobody tells',
      { selfTests: [{ drive: 'LK-1', percentLeft: 40 }] },
      'no-until',
      null,
    ],
    ['a silent agent', { running: null }, 'cannot-tell', null],
    [
      'a silent agent beside a known danger',
      { running: null, arrays: [{ ...array, doing: 'reshaping' as const, mayStillFail: 0 }] },
      'no-danger',
      null,
    ],
  ])('%s', (_name, facts, answer, untilMs) => {
    const found = answerTo(facts);
    expect([found.answer, found.untilMs]).toEqual([answer, untilMs]);
    expect(found.words).not.toBe('');
    expect(found.reasons.length).toBeGreaterThan(0);
  });

  it('says what it does not cover when array states are not read', () => {
    expect(answerTo({ arrays: null }).caveats.join()).toContain('array');
    expect(answerTo({}).caveats).toEqual([]);
  });

  it('names the drive and what switching off would cost', () => {
    expect(answerTo({ running: [burnIn] }).reasons.join()).toMatch(/TV-1.*goes on where it was/);
    expect(answerTo({ selfTests: [{ drive: 'LK-1', percentLeft: 40 }] }).reasons.join()).toMatch(
      /LK-1.*40 percent left.*start again/,
    );
  });
});

it('work of an array is told by its name, and what becomes of it', () => {
  const reasonsFor = (doing: 'checking' | 'rebuilding') =>
    safeToSwitchOff({ ...idle, arrays: [{ ...array, doing, mayStillFail: 1 }] }).reasons;
  expect(reasonsFor('checking')).toEqual([
    'Array "archive", RAID 6 is being checked; switched off, that is broken off and has to be started anew',
  ]);
  expect(reasonsFor('rebuilding')).toEqual([
    'Array "archive", RAID 6 is rebuilding; it goes on after the next start',
  ]);
});
