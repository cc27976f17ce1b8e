import { describe, expect, it } from 'vitest';
import type { CheckInput, Look, SeriesHistory } from '../../../src/checks/check.js';
import { arrayDegraded, arrayStopped } from '../../../src/checks/rules/array-condition.js';
import { arrayCopies } from '../../../src/checks/rules/array-copies.js';
import { arrayMemberErrors } from '../../../src/checks/rules/array-member-errors.js';
import { wordFinding } from '../../../src/checks/wording.js';
import {
  brief,
  hourMs,
  look,
  makeFinding,
  makeInput,
  series,
  startWallMs,
  steady,
} from '../make-check-input.js';

function array(all: readonly SeriesHistory[], details: Record<string, unknown> = {}): CheckInput {
  return makeInput({
    subject: 'recordings',
    kind: 'array',
    details: { family: 'md', level: 'raid6', ...details },
    series: all,
    now: { boot: 1, monoMs: 2.5 * hourMs, wallMs: startWallMs + 2.5 * hourMs },
    nameOf: (id) => `Bay 3 · ${id.slice(-4)}`,
  });
}

const at = (...values: readonly (number | 'no-figure')[]) =>
  values.map((value, index) => look(value, 1 + index));
const missing = (looks: readonly Look[]) => series('array-members-missing', looks);

describe('an array without all its members', () => {
  it.each([
    ['whole', at(0, 0), 'met'],
    ['one missing, seen once', at(0, 1), 'short?'],
    ['one missing, seen twice', at(0, 1, 1), 'short'],
    ['whole again, seen once', at(1, 1, 0), 'met?'],
    ['whole again, seen twice', at(1, 1, 0, 0), 'met'],
    ['two more missing each time', at(1, 2), 'short'],
    ['not told', at(0, 'no-figure'), 'unknown'],
    ['not a number', [look(Number.NaN, 1)], 'unknown'],
  ])('%s', (_name, looks, outcome) => {
    expect(brief(arrayDegraded.judge(array([missing(looks)])))).toEqual([outcome]);
  });

  it.each([
    [0, 'today'],
    [1, 'soon'],
    [null, 'today'],
  ] as const)('may lose %s more: %s', (may, urgency) => {
    const more = may === null ? [] : [steady('array-may-still-fail', may)];
    const [result] = arrayDegraded.judge(array([missing(at(1, 1)), ...more]));
    expect(result).toMatchObject({ outcome: 'short', urgency, measured: 1, expected: 0 });
  });

  it('names the member that was thrown out, and how far a rebuild is', () => {
    const [result] = arrayDegraded.judge(
      array([
        missing(at(1, 1)),
        steady('array-may-still-fail', 0),
        steady('array-work', 2),
        steady('array-work-done', 41),
        series('array-member-state', at(2, 2), { place: 'TS80052HV4' }),
        series('array-member-state', at(0, 0), { place: 'LM8K0A1207' }),
      ]),
    );
    const told = wordFinding(makeFinding({ ...result, nextStep: '' }), 'recordings');
    expect(told.sentence).toBe(
      'Missing: 1; Bay 3 · 2HV4: thrown out; no drive to spare now, the next failure loses data; rebuilt so far 41 %.',
    );
    expect(told.nextStep).toMatch(/^It is being rebuilt: leave the box on/);
  });

  it('says how the array was made to protect, where that was told', () => {
    const made = { ...look(2, 1), text: 'Mirror of three, any two may fail' };
    const [result] = arrayDegraded.judge(
      array([
        missing(at(1, 1)),
        steady('array-may-still-fail', 1),
        series('array-protection', [made, made]),
      ]),
    );
    const told = wordFinding(makeFinding({ ...result, nextStep: '' }), 'recordings');
    expect(told.sentence).toBe(
      'Made as mirror of three, any two may fail; missing: 1; any one more may fail.',
    );
  });

  it('says nothing of a level without copies, nor of a drive', () => {
    expect(arrayDegraded.judge(array([missing(at(1, 1))], { level: 'raid0' }))).toEqual([]);
    expect(arrayDegraded.judge(makeInput({ series: [missing(at(1, 1))] }))).toEqual([]);
  });

  it('takes a ZFS pool at its word', () => {
    const pool = (code: number) =>
      arrayDegraded.judge(array([series('array-state', at(code, code))], { family: 'zfs' }));
    expect(brief(pool(0))).toEqual(['met']);
    expect(pool(1)).toMatchObject([{ outcome: 'short', urgency: 'today', measured: 1 }]);
    expect(pool(2)).toEqual([]);
  });
});

describe('an array that serves no requests', () => {
  // Codes as in array-readings.ts: running 0, inactive 2, read-only 4, broken 10.
  it.each([
    ['md', 0, 'met'],
    ['md', 4, 'met'],
    ['md', 2, 'short'],
    ['md', 10, 'short'],
    ['zfs', 1, 'met'],
    ['zfs', 2, 'short'],
    ['zfs', 6, 'short'],
    ['zfs', 7, 'met'],
  ] as const)('%s state %d: %s', (family, code, outcome) => {
    const input = array([series('array-state', at(code, code))], { family });
    expect(brief(arrayStopped.judge(input))).toEqual([outcome]);
  });

  it('is one finding: it is not told as degraded too', () => {
    const input = array([series('array-state', at(10, 10)), missing(at(3, 3))]);
    expect(brief(arrayStopped.judge(input))).toEqual(['short']);
    expect(arrayDegraded.judge(input)).toEqual([]);
  });

  it('cannot be told without a state, and is no question for btrfs', () => {
    const unknown = array([series('array-state', at('no-figure'))]);
    expect(brief(arrayStopped.judge(unknown))).toEqual(['unknown']);
    const btrfs = array([series('array-state', at(0, 0))], { family: 'btrfs' });
    expect(arrayStopped.judge(btrfs)).toEqual([]);
  });
});

describe('copies that disagree', () => {
  const compared = (count: readonly Look[], last: number, now = 0) => [
    series('array-mismatches', count),
    steady('array-last-work', last),
    steady('array-work', now),
  ];
  it.each([
    ['none after a comparison', compared(at(0, 0).slice(0, 1), 4), 'met?'],
    ['none, seen twice', compared([look(0, 1, { lastMonoMs: 9e6 })], 4), 'met'],
    ['some', compared([look(256, 1, { lastMonoMs: 9e6 })], 4), 'short'],
    ['while comparing', compared([look(256, 1, { lastMonoMs: 9e6 })], 4, 4), 'unknown'],
    ['after a repair', compared([look(256, 1, { lastMonoMs: 9e6 })], 5), 'unknown'],
    ['never compared', compared([look(0, 1, { lastMonoMs: 9e6 })], 0), 'unknown'],
  ] as const)('%s', (_name, all, outcome) => {
    expect(brief(arrayCopies.judge(array(all)))).toEqual([outcome]);
  });

  it('is for the record on mirrors, soon where there is parity', () => {
    const all = compared([look(128, 1, { lastMonoMs: 9e6 })], 4);
    const urgency = (level: string) => arrayCopies.judge(array(all, { level }))[0]?.urgency;
    expect(urgency('raid1')).toBe('for-the-record');
    expect(urgency('raid10')).toBe('for-the-record');
    expect(urgency('raid5')).toBe('soon');
  });
});

describe('errors of members', () => {
  const member = (metric: string, place: string, ...values: readonly number[]) =>
    series(metric, at(...values), { place });

  it('is silent on values that stand still, whatever they are', () => {
    const all = [member('array-member-errors', 'TS80052HV4', 12, 12)];
    expect(brief(arrayMemberErrors.judge(array(all)))).toEqual(['met']);
  });

  it('names the member that grew, and only it', () => {
    const all = [
      member('array-read-errors', 'LM8K0A1207', 3, 3, 3),
      member('array-read-errors', 'TS80052HV4', 0, 2, 2),
      member('array-damaged-blocks', 'TS80052HV4', 0, 1, 1),
      steady('array-may-still-fail', 1),
    ];
    const [result] = arrayMemberErrors.judge(array(all));
    expect(result).toMatchObject({ outcome: 'short', urgency: 'soon', measured: 2, expected: 0 });
    expect(result?.evidence.map(({ label, value }) => [label, value])).toEqual([
      ['Bay 3 · 2HV4: Array read errors, first', 0],
      ['Bay 3 · 2HV4: Array read errors, now', 2],
      ['Bay 3 · 2HV4: Damaged blocks found, first', 0],
      ['Bay 3 · 2HV4: Damaged blocks found, now', 1],
    ]);
  });

  it('is for today when no other member may fail', () => {
    const all = [
      member('array-read-errors', 'TS80052HV4', 0, 2, 2),
      steady('array-may-still-fail', 0),
    ];
    expect(arrayMemberErrors.judge(array(all))[0]?.urgency).toBe('today');
  });

  it('does not alarm when counters start anew', () => {
    const all = [member('array-read-errors', 'TS80052HV4', 40, 0, 0)];
    expect(brief(arrayMemberErrors.judge(array(all)))).not.toContain('short');
  });
});
