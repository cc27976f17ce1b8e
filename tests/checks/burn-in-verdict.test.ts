import fc from 'fast-check';
import { expect, test } from 'vitest';
import { burnInStages, type PlaceErrorKind } from '../../src/checks/burn-in-result.js';
import {
  type BurnInEvidence,
  isEnoughToReturn,
  judgeBurnIn,
  type StageEvidence,
} from '../../src/checks/burn-in-verdict.js';
import { wordErrorKind, wordReason, wordStage } from '../../src/checks/burn-in-words.js';
import { absent, measured, type Reading } from '../../src/checks/reading.js';
import { wordAdvice } from '../../src/checks/wording.js';

const sizeBytes = 8_000_000_000_000;
const whole: StageEvidence = {
  state: 'complete',
  doneBytes: sizeBytes,
  errors: {},
  unlocatedBytes: 0,
};
const none: StageEvidence = { state: 'not-begun', doneBytes: 0, errors: {}, unlocatedBytes: 0 };

function counters(values: Readonly<Record<string, number>>): Reading[] {
  return Object.entries(values).map(([metric, value]) =>
    measured({ metric, unit: 'count', source: 'invented record' }, value),
  );
}

const still = counters({ 'reallocated-sectors': 0, 'pending-sectors': 0, 'drive-verdict': 0 });

const sound: BurnInEvidence = {
  erases: true,
  sizeBytes,
  stages: {
    'readings-before': whole,
    'full-read': whole,
    'stamped-write': whole,
    verify: whole,
    'readings-after': whole,
  },
  before: still,
  after: still,
  stoppedByPerson: false,
  lostBy: null,
  lostAfterPowerCut: 0,
  temperatureHighest: 44,
  temperatureLimit: 60,
  slowPlaces: 0,
  returnIsOpen: true,
};

function withErrors(errors: Partial<Record<PlaceErrorKind, number>>): BurnInEvidence {
  return { ...sound, stages: { ...sound.stages, verify: { ...whole, errors } } };
}

const advice = (evidence: BurnInEvidence) => judgeBurnIn(evidence).advice;

test('a whole erasing run without an error and with counters that stand still is kept', () => {
  expect(judgeBurnIn(sound)).toEqual({
    advice: 'keep',
    reasons: [],
    proven: [
      'Every sector was read without an error',
      'Every sector was written and gave back what was written',
      'No damage counter of the drive grew during the run',
      'The drive itself does not say that it is failing',
    ],
    notProven: [
      'That it starts from cold and holds data without power',
      'That it stays so over months',
    ],
    skipped: ['The self-test that is built into the drive'],
  });
});

test.each([
  ['unreadable', 'unreadable-sectors'],
  ['unwritable', 'unwritable-sectors'],
  ['damaged', 'damaged-sectors'],
  ['misplaced', 'misplaced-sectors'],
  ['stale', 'lost-writes'],
  ['other-drive', 'sectors-of-another-drive'],
  ['wrapped', 'false-capacity'],
] as const)('one sector that is %s is enough to return the drive', (kind, code) => {
  const evidence = withErrors({ [kind]: 1 });
  const verdict = judgeBurnIn(evidence);
  expect(verdict.advice).toBe('return');
  expect(verdict.reasons[0]).toMatchObject({ code, measured: 1, expected: 0 });
  expect(isEnoughToReturn(evidence)).toBe(true);
  expect(advice({ ...evidence, returnIsOpen: false })).toBe('replace');
  expect(verdict.proven).not.toContain('Every sector was written and gave back what was written');
});

test.each(['aborted', 'timed-out'] as const)(
  'requests that are %s ask for another look',
  (kind) => {
    expect(advice(withErrors({ [kind]: 3 }))).toBe('keep-check-again');
    expect(isEnoughToReturn(withErrors({ [kind]: 3 }))).toBe(false);
  },
);

test.each<[string, Readonly<Record<string, number>>, string, string]>([
  ['reallocated sectors', { 'reallocated-sectors': 1 }, 'return', 'grew:reallocated-sectors'],
  ['pending sectors', { 'pending-sectors': 1 }, 'return', 'grew:pending-sectors'],
  ['cable errors', { 'interface-crc-errors': 5 }, 'keep-check-again', 'grew:interface-crc-errors'],
  [
    'emergency parks',
    { 'emergency-head-parks': 2 },
    'keep-check-again',
    'grew:emergency-head-parks',
  ],
])('growth of %s', (_what, grown, expected, code) => {
  const zero = Object.fromEntries(Object.keys(grown).map((metric) => [metric, 0]));
  const verdict = judgeBurnIn({ ...sound, before: counters(zero), after: counters(grown) });
  expect(verdict.advice).toBe(expected);
  expect(verdict.reasons.map((reason) => reason.code)).toEqual([code]);
});

test('a level above zero that does not grow asks for another look, not for a return', () => {
  const old = counters({ 'reallocated-sectors': 12 });
  const verdict = judgeBurnIn({ ...sound, before: old, after: old });
  expect(verdict.advice).toBe('keep-check-again');
  expect(verdict.reasons[0]).toMatchObject({
    code: 'above-zero:reallocated-sectors',
    measured: 12,
  });
});

test('the own word of the drive counts', () => {
  const says = (values: Readonly<Record<string, number>>) =>
    advice({ ...sound, after: [...counters({ 'reallocated-sectors': 0 }), ...counters(values)] });
  expect(says({ 'drive-verdict': 1 })).toBe('return');
  expect(says({ 'critical-warning': 1 })).toBe('return');
  expect(says({ 'critical-warning': 2 })).toBe('keep-check-again');
  expect(says({ 'critical-warning': 0 })).toBe('keep');
});

test('endurance that is used up asks for another look and is no fault; missing it says nothing', () => {
  const used = (percent: number) => {
    return { ...sound, after: [...still, ...counters({ 'endurance-used': percent })] };
  };
  expect(advice(used(99))).toBe('keep');
  const { advice: told, reasons } = judgeBurnIn(used(100));
  expect(told).toBe('keep-check-again');
  expect(reasons.map(wordReason)).toEqual([
    'The drive has used 100 % of the endurance that it is made for: wear, which is no fault',
  ]);
  expect(advice(used(255))).toBe('keep-check-again');
});

test('a disk parks its heads once at each power cut of the box, and more is held against it', () => {
  const parks = (before: number, after: number, powerCuts: number) =>
    advice({
      ...sound,
      powerCuts,
      before: [...still, ...counters({ 'emergency-head-parks': before })],
      after: [...still, ...counters({ 'emergency-head-parks': after })],
    });
  expect(parks(12, 12, 0)).toBe('keep');
  expect(parks(12, 13, 0)).toBe('keep-check-again');
  expect(parks(12, 14, 2)).toBe('keep');
  expect(parks(12, 15, 2)).toBe('keep-check-again');
});

test.each<[string, Partial<BurnInEvidence>, string]>([
  ['no readings before', { before: null }, 'keep-check-again'],
  ['no readings after', { after: null }, 'keep-check-again'],
  [
    'hidden counters',
    { after: [absent(still[0]!, 'not-visible', 'behind a bridge')] },
    'keep-check-again',
  ],
  ['a drive that went away', { lostBy: 'drive-gone' }, 'keep-check-again'],
  ['data lost after a power cut', { lostAfterPowerCut: 8 }, 'keep-check-again'],
  ['slow places', { slowPlaces: 1 }, 'keep-check-again'],
  ['heat above the limit', { temperatureHighest: 61 }, 'keep-check-again'],
  ['heat at the limit', { temperatureHighest: 60 }, 'keep'],
  ['no known limit', { temperatureLimit: null }, 'keep'],
  ['no known return date', { returnIsOpen: null }, 'keep'],
])('%s', (_what, change, expected) => {
  expect(advice({ ...sound, ...change })).toBe(expected);
});

test('a run that only reads never ends in plain keep and says what it skipped', () => {
  const stages = { ...sound.stages, 'stamped-write': none, verify: none };
  const verdict = judgeBurnIn({ ...sound, erases: false, stages });
  expect(verdict.advice).toBe('keep-check-again');
  expect(verdict.skipped).toContain('Writing and comparing, since this run only read');
  expect(verdict.notProven).toContain('That every sector keeps what is written to it');
});

test('a run that was stopped is not fully tested, unless it found enough before', () => {
  const verify = { ...none, state: 'partly', doneBytes: sizeBytes / 2 } as const;
  const stopped = { ...sound, stoppedByPerson: true, stages: { ...sound.stages, verify } };
  const verdict = judgeBurnIn(stopped);
  expect(verdict.advice).toBe('not-fully-tested');
  expect(verdict.reasons[0]).toMatchObject({
    code: 'stage-incomplete',
    measured: 83,
    expected: 100,
  });
  const found = { ...verify, errors: { damaged: 1 } };
  expect(advice({ ...stopped, stages: { ...sound.stages, verify: found } })).toBe('return');
});

test('a small drive may have answered from its own memory, and that is said', () => {
  const small = 64 * 1024 * 1024;
  const part = { ...whole, doneBytes: small };
  const stages = { ...sound.stages, 'full-read': part, 'stamped-write': part, verify: part };
  const verdict = judgeBurnIn({ ...sound, sizeBytes: small, stages });
  expect(verdict.advice).toBe('keep');
  expect(verdict.notProven[0]).toContain('its own memory');
});

test('a figure that is not a number never yields keep', () => {
  const broken = fc.constantFrom(Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY);
  const place = fc.constantFrom('full-read', 'stamped-write', 'verify');
  const changes = fc.oneof(
    broken.map((value) => ({ sizeBytes: value })),
    fc
      .tuple(place, fc.constantFrom('doneBytes', 'unlocatedBytes'), fc.constant(Number.NaN))
      .map(([stage, field, value]) => ({
        stages: { ...sound.stages, [stage]: { ...whole, [field]: value } },
      })),
    broken.map((value) => ({ slowPlaces: value })),
    broken.map((value) => ({ lostAfterPowerCut: value })),
    fc.constant({ temperatureHighest: Number.NaN }),
    fc.constant({
      stages: { ...sound.stages, verify: { ...whole, errors: { damaged: Number.NaN } } },
    }),
    broken.map((value) => ({ after: [{ ...still[0]!, value }] })),
  );
  fc.assert(
    fc.property(changes, (change) => {
      expect(advice({ ...sound, ...change } as BurnInEvidence)).not.toBe('keep');
    }),
    { seed: 20_240_501, numRuns: 200 },
  );
});

test('every reason, stage, kind and advice has words of its own', () => {
  const reason = (code: string) => wordReason({ code, measured: 3, expected: 0, source: '' });
  expect(reason('damaged-sectors')).toBe('3 sectors gave back other data than was written');
  expect(reason('grew:reallocated-sectors')).toBe(
    'Reallocated sectors (5) grew by 3 during the run',
  );
  expect(reason('of-a-later-version')).toBe('of a later version (3)');
  expect(wordReason({ code: 'too-hot', measured: null, expected: 0, source: '' })).toContain(
    'unknown',
  );
  expect(wordAdvice('keep-check-again')).toBe('keep, check again');
  expect(new Set(burnInStages.map(wordStage)).size).toBe(5);
  expect(wordErrorKind('stale')).toBe('still held what was there before');
});
