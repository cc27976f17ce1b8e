import { describe, expect, it } from 'vitest';
import { catalogue } from '../../src/checks/catalogue.js';
import { findingCode, findingCodes } from '../../src/checks/finding-codes.js';
import { codeTitle, nextStepWords, wordFinding, wordResult } from '../../src/checks/wording.js';
import { makeFinding } from './make-check-input.js';

const row = (label: string, value: number) =>
  ({ label, value, unit: 'sectors', boot: 1, monoMs: 0 }) as const;

describe('wordFinding', () => {
  it('says what grew, from where, and to copy off first', () => {
    const finding = makeFinding({
      code: 'surface-damage-grew',
      unit: 'sectors',
      measured: 16,
      expected: 0,
      source: 'the value when it was first seen here',
      evidence: [
        row('Reallocated sectors (5), first', 0),
        row('Reallocated sectors (5), now', 8),
        row('Pending sectors (197), first', 0),
        row('Pending sectors (197), now', 16),
      ],
    });
    expect(wordFinding(finding, 'Bay 3 · 0417')).toEqual({
      title: 'Bay 3 · 0417: surface damage grew',
      sentence:
        'The drive has more damaged places than when it was first seen here: Reallocated sectors (5) from 0 to 8; Pending sectors (197) from 0 to 16.',
      expectedSentence: 'Expected: at most 0 (the value when it was first seen here).',
      nextStep:
        'Copy off first what cannot be replaced, if this drive may hold the only copy; put no test on it before that. Then watch whether it grows on; growing damage is a reason for return or replacement.',
    });
  });

  it('names the temperature, the drive’s own limit and the margin', () => {
    const finding = makeFinding({
      evidence: [
        { label: 'The drive’s own limit', value: 60, unit: 'celsius', boot: 1, monoMs: 0 },
      ],
    });
    expect(wordFinding(finding)).toMatchObject({
      title: 'LK-0001: the drive is too warm',
      sentence: 'The drive is at 57 °C, its own limit is 60 °C.',
      expectedSentence: 'Expected: below 55 °C, which is 5 degrees under its own limit.',
    });
  });

  it('keeps the next step that was stored with the finding', () => {
    expect(wordFinding(makeFinding({ nextStep: 'Ask the seller.' })).nextStep).toBe(
      'Ask the seller.',
    );
  });

  it('spells warnings out bit by bit', () => {
    const warns = (measured: number | null) =>
      wordFinding(makeFinding({ code: 'drive-warns', measured, unit: 'code' })).sentence;
    expect(warns(5)).toBe(
      'The drive warns that its spare is nearly used up, and it is no longer reliable.',
    );
    expect(warns(64)).toMatch(/not known here/);
    expect(warns(null)).toMatch(/not known here/);
    expect(nextStepWords({ code: 'drive-warns', measured: 2 })).toMatch(/air/);
    expect(nextStepWords({ code: 'drive-warns', measured: 4 })).toMatch(/Copy off first/);
  });

  it('has neutral words for an unknown code, also for names of object members', () => {
    for (const code of ['never-heard-of', 'constructor', '__proto__']) {
      expect(wordFinding(makeFinding({ code })).title).toBe(
        'LK-0001: something is below what is expected',
      );
      expect(findingCode(code)).toBeNull();
    }
  });

  it('shows a missing figure as no figure, never as a zero', () => {
    const { sentence } = wordFinding(makeFinding({ code: 'drive-slow', measured: null }));
    expect(sentence).toContain('no figure');
  });
});

describe('the list of codes', () => {
  it('has every code of the catalogue, each with its own words', () => {
    const codes = findingCodes.map(({ code }) => code);
    expect(new Set(codes).size).toBe(codes.length);
    for (const check of catalogue) expect(codes).toContain(check.code);
    const titles = codes.map(codeTitle);
    expect(titles).not.toContain('something is below what is expected');
    expect(new Set(titles).size).toBe(titles.length);
  });

  it('says copy off first wherever the data itself is at risk', () => {
    for (const code of ['drive-says-failing', 'self-test-failed', 'surface-damage-grew']) {
      expect(nextStepWords({ code, measured: 1 })).toMatch(/^Copy off first/);
    }
  });

  it('switches the box off before anyone touches leads, cables or cards', () => {
    for (const code of [
      'cable-errors-grew',
      'power-was-lost',
      'disk-link-slower',
      'pci-link-narrow',
    ]) {
      expect(nextStepWords({ code, measured: 1 })).toMatch(/switched off/);
    }
  });
});

describe('wordResult', () => {
  it('gives the reason with cannot tell', () => {
    expect(wordResult({ outcome: 'unknown', why: 'The drive is asleep' })).toBe(
      'cannot tell: The drive is asleep',
    );
    expect(wordResult({ outcome: 'met' })).toBe('as expected');
    expect(wordResult({ outcome: 'short' })).toBe('below expected');
  });
});
