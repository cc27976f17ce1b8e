import { describe, expect, it } from 'vitest';
import type { CheckInput, Look } from '../../../src/checks/check.js';
import { recoveryLimit } from '../../../src/checks/rules/recovery-limit.js';
import { wordFinding } from '../../../src/checks/wording.js';
import { brief, look, makeFinding, makeInput, series } from '../make-check-input.js';

const off = 'The drive’s timer is switched off: it may try for minutes';
const never = 'The drive says that it has no such limit (IDENTIFY DEVICE word 206)';
const refused = 'The drive did not tell its timer';

function input(own: Look | null, kernelMs: number | null, change: Partial<CheckInput> = {}) {
  const limit = own === null ? [] : [series('error-recovery-time-limit', [own])];
  const kernel = kernelMs === null ? [] : [series('kernel-time-limit', [look(kernelMs, 1)])];
  const details = { rotating: true };
  return makeInput({ arrays: ['recordings'], details, series: [...limit, ...kernel], ...change });
}

const without = (text: string) => look('no-figure', 2, { text });

describe('a disk’s limit against the kernel’s', () => {
  it.each([
    ['7 s against 30 s', look(7000, 2), 30_000, ['met']],
    ['29.9 s against 30 s', look(29_900, 2), 30_000, ['met']],
    ['30 s against 30 s', look(30_000, 2), 30_000, ['short']],
    ['switched off against 30 s', without(off), 30_000, ['short']],
    ['switched off against 179.9 s', without(off), 179_900, ['short']],
    ['switched off against 180 s', without(off), 180_000, ['met']],
    ['none at all against 30 s', without(never), 30_000, ['short']],
    ['not told', without(refused), 30_000, ['unknown']],
    [
      'of the boot before, which the disk has forgotten',
      look(7000, 2, { boot: 0 }),
      30_000,
      ['unknown'],
    ],
    ['never read', null, 30_000, ['unknown']],
    ['7 s against nothing told', look(7000, 2), null, ['unknown']],
  ])('%s', (_name, own, kernelMs, outcome) => {
    expect(brief(recoveryLimit.judge(input(own, kernelMs)))).toEqual(outcome);
  });

  it('is kept by a disk that sleeps', () => {
    const looks = [look(30_000, 2), look('asleep', 3)];
    const all = [series('error-recovery-time-limit', looks)];
    const kernel = series('kernel-time-limit', [look(30_000, 1)]);
    expect(brief(recoveryLimit.judge(input(null, null, { series: [...all, kernel] })))).toEqual([
      'short',
    ]);
  });

  it.each([
    ['no array', { arrays: [] }],
    ['solid state', { details: { rotating: false } }],
    ['NVMe', { details: { reachedBy: 'nvme' } }],
    ['no drive', { kind: 'array' }],
  ] as const)('is silent: %s', (_name, change) => {
    expect(recoveryLimit.judge(input(without(off), 30_000, change))).toEqual([]);
  });

  it('says why the disk is not dead', () => {
    const told = (own: Look) => {
      const [result] = recoveryLimit.judge(input(own, 30_000));
      return wordFinding(makeFinding({ ...result, nextStep: '' }));
    };
    expect(told(without(off))).toMatchObject({
      sentence:
        'The disk sets itself no limit, and the kernel waits 30 s for it. A disk that only tries long on a bad place is then reset in the middle of it and can be thrown out of its array, though it is not failing.',
      expectedSentence: 'Expected: the kernel waits at least 3 min for a disk without a limit.',
    });
    expect(told(look(65_000, 2))).toMatchObject({
      sentence: expect.stringMatching(/^The disk tries for 1 min 5 s, and the kernel waits 30 s/),
      expectedSentence: 'Expected: the disk gives up in less than 30 s.',
    });
  });
});
