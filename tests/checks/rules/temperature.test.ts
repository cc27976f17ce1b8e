import { describe, expect, it } from 'vitest';
import type { Look } from '../../../src/checks/check.js';
import { temperature } from '../../../src/checks/rules/temperature.js';
import { brief, look, makeFinding, makeInput, series, steady } from '../make-check-input.js';

function judge(looks: readonly Look[], options: { limit?: number | null; open?: boolean } = {}) {
  const { limit = 60, open = false } = options;
  return temperature.judge(
    makeInput({
      series: [
        series('temperature', looks),
        ...(limit === null ? [] : [steady('temperature-limit', limit)]),
      ],
      findings: open ? [makeFinding({ code: 'too-warm' })] : [],
    }),
  );
}

const at = (...values: readonly (number | 'asleep' | 'no-figure')[]) =>
  values.map((value, index) => look(value, 1 + index));

// Limit 60 °C: soon from 55 °C on (5 degrees below), today from 60 °C on.
describe('temperature', () => {
  it.each([
    ['well below', at(40, 41), 'met', 'soon'],
    ['just below the margin', at(54.9, 54.9), 'met', 'soon'],
    ['at the margin', at(55, 55), 'short', 'soon'],
    ['just below the limit', at(59.9, 59.9), 'short', 'soon'],
    ['at the limit', at(60, 60), 'short', 'today'],
    ['far above', at(75, 80), 'short', 'today'],
    ['at the limit once, in the margin before', at(56, 60), 'short', 'soon'],
    ['above for one reading', at(54, 57), 'short?', 'soon'],
    ['cooler again', at(57, 54), 'met', 'soon'],
  ])('%s', (_name, looks, outcome, urgency) => {
    const results = judge(looks);
    expect(brief(results)).toEqual([outcome]);
    expect(results[0]?.urgency).toBe(urgency);
  });

  it.each([
    ['asleep', at(40, 41, 'asleep'), /"asleep"/],
    ['no figure before', at('no-figure', 57), /Two readings running/],
    ['one reading', at(57), /Two readings running/],
    ['not a number', [look(57, 1), look(Number.NaN, 2)], /not a finite number/],
    ['infinite', [look(57, 1), look(Number.POSITIVE_INFINITY, 2)], /not a finite number/],
    ['nothing', [], /never read/],
    ['an earlier boot only', [look(57, 1, { boot: 0 }), look(58, 2, { boot: 0 })], /./],
  ])('cannot tell: %s', (_name, looks, why) => {
    const [result] = judge(looks);
    expect(result?.outcome).toBe('unknown');
    expect(result?.why).toMatch(why);
    expect(result?.measured).toBeNull();
  });

  it('cannot tell without a limit of the drive, whatever the temperature', () => {
    expect(judge(at(90, 90), { limit: null })[0]?.why).toBe(
      'The drive names no temperature limit of its own',
    );
    expect(brief(judge(at(90, 90), { limit: 0 }))).toEqual(['unknown']);
  });

  it('cannot tell from a reading that is over 6 hours old', () => {
    const input = makeInput({
      series: [series('temperature', at(40, 41)), steady('temperature-limit', 60)],
    });
    const later = (hours: number) =>
      temperature.judge({ ...input, now: { ...input.now, monoMs: hours * 3_600_000 } });
    expect(brief(later(8))).toEqual(['met']);
    expect(brief(later(8.01))).toEqual(['unknown']);
  });

  it('clears only after three readings over 30 minutes, 7 degrees below the limit', () => {
    const minutes = (...values: readonly number[]) =>
      values.map((value, index) => look(value, 1 + index / 4));
    expect(brief(judge(minutes(57, 52, 52), { open: true }))).toEqual(['met?']);
    expect(brief(judge(minutes(52.9, 52.9, 52.9), { open: true }))).toEqual(['met']);
    expect(brief(judge(minutes(53, 53, 53), { open: true }))).toEqual(['met?']);
    const quick = [look(50, 1), look(50, 1.2), look(50, 1.4)];
    expect(brief(judge(quick, { open: true }))).toEqual(['met?']);
    const close = [57, 50, 50, 50, 50, 50, 50, 50].map((value, index) =>
      look(value, 1 + index / 12),
    );
    expect(brief(judge(close.slice(0, -1), { open: true }))).toEqual(['met?']);
    expect(brief(judge(close, { open: true }))).toEqual(['met']);
  });

  it('tells one heat once: a second sensor without a limit of its own is not judged', () => {
    const results = temperature.judge(
      makeInput({
        series: [
          series('temperature', at(70, 70)),
          { ...series('temperature', at(82, 82)), place: 'sensor 2' },
          steady('temperature-limit', 60),
        ],
      }),
    );
    expect(results.map(({ outcome, place }) => [outcome, place])).toEqual([['short', undefined]]);
  });

  it('does not judge a sensor that never gave a number', () => {
    const results = temperature.judge(
      makeInput({
        series: [
          series('temperature', at(40, 40)),
          series('temperature', [look('no-figure', 1)], { place: 'kernel sensor' }),
          steady('temperature-limit', 60),
          { ...steady('temperature-limit', 60), place: 'kernel sensor' },
        ],
      }),
    );
    expect(results.map(({ outcome, place }) => [outcome, place])).toEqual([['met', undefined]]);
  });

  it('judges each sensor of a drive against the limit of the same place', () => {
    const results = temperature.judge(
      makeInput({
        series: [
          series('temperature', at(70, 70)),
          series('temperature', at(70, 70), { place: 'sensor 2' }),
          steady('temperature-limit', 60),
          { ...steady('temperature-limit', 85), place: 'sensor 2' },
        ],
      }),
    );
    expect(results.map(({ outcome, place }) => [outcome, place])).toEqual([
      ['short', undefined],
      ['met', 'sensor 2'],
    ]);
  });

  it('keeps the figures it judged by as evidence', () => {
    const [result] = judge(at(56, 57));
    expect(result).toMatchObject({ measured: 57, expected: 55, unit: 'celsius' });
    expect(result?.evidence.map(({ value }) => value)).toEqual([56, 57, 60]);
  });

  it('says nothing about parts that are no drives', () => {
    expect(
      temperature.judge(makeInput({ kind: 'sensor-chip', series: [steady('temperature', 90)] })),
    ).toEqual([]);
  });
});
