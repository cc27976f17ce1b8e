import { describe, expect, it } from 'vitest';
import { endurance } from '../../../src/checks/rules/endurance.js';
import { wearClause } from '../../../src/checks/wear-words.js';
import { brief, look, makeFinding, makeInput, series, startWallMs } from '../make-check-input.js';

/** NVM Express health log 02h byte 5 and Device Statistics page 7: the figure may pass 100. */

describe('endurance', () => {
  it.each([
    [0, 'met'],
    [99, 'met'],
    [100, 'short'],
    [103, 'short'],
    [255, 'short'],
  ])('%d %% used: %s, at once and for the record', (value, outcome) => {
    const input = makeInput({ series: [series('endurance-used', [look(value, 1)])] });
    expect(endurance.judge(input)).toMatchObject([
      { outcome, urgency: 'for-the-record', measured: value, expected: 100 },
    ]);
  });

  it('cannot tell while the newest look has no number', () => {
    const looks = [look(40, 1), look('asleep', 2)];
    const input = makeInput({ series: [series('endurance-used', looks)] });
    expect(endurance.judge(input)[0]?.why).toBe('The newest reading is "asleep"');
  });

  it('is silent for a drive that never told a figure, and for what is no drive', () => {
    const never = [series('endurance-used', [look('no-figure', 1)])];
    expect(endurance.judge(makeInput({ series: never }))).toEqual([]);
    const worn = [series('endurance-used', [look(120, 1)])];
    expect(endurance.judge(makeInput({ kind: 'box', series: worn }))).toEqual([]);
  });

  it('is told again only ten percent after a person accounted for it', () => {
    const accounted = makeFinding({
      code: 'endurance-spent',
      state: 'cleared',
      clearedBoot: 1,
      clearedWallMs: startWallMs + 2 * 3_600_000,
    });
    const judged = (value: number) => {
      const looks = [look(103, 1), look(value, 3)];
      return brief(
        endurance.judge(
          makeInput({ series: [series('endurance-used', looks)], findings: [accounted] }),
        ),
      );
    };
    expect(judged(112)).toEqual(['met']);
    expect(judged(113)).toEqual(['short']);
  });
});

describe('wear in words', () => {
  const figure = (metric: string, value: number | null, text = '') =>
    ({ metric, value, unit: 'percent', place: '', text }) as const;

  it.each([
    [
      'both',
      [
        ['endurance-used', 7],
        ['spare-left', 95],
        ['spare-limit', 10],
      ],
      '7 % of its endurance used, 95 % of its spare left (its limit is 10 %)',
    ],
    [
      'a drive that keeps no spare',
      [
        ['endurance-used', 0],
        ['spare-left', 0],
        ['spare-limit', 0],
      ],
      '0 % of its endurance used',
    ],
    [
      'no spare left, with a limit',
      [
        ['spare-left', 0],
        ['spare-limit', 10],
      ],
      '0 % of its spare left (its limit is 10 %)',
    ],
    ['neither', [['temperature', 30]], null],
  ] as const)('%s', (_name, figures, words) => {
    expect(wearClause(figures.map(([metric, value]) => figure(metric, value)))).toBe(words);
  });

  it('a full field speaks for itself', () => {
    expect(wearClause([figure('endurance-used', 255, '255 % or more')])).toBe(
      '255 % or more of its endurance used',
    );
  });
});
