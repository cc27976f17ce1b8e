import { describe, expect, test } from 'vitest';
import { checkPart } from '../../../src/checks/catalogue.js';
import type { CheckInput, EventLook } from '../../../src/checks/check.js';
import { absentAfterPowerOn, absentAfterRestart } from '../../../src/checks/rules/start-absence.js';
import type { StartKind } from '../../../src/checks/start-kind.js';
import { brief, dayMs, makeFinding, makeInput, startWallMs } from '../make-check-input.js';

const atStart = ', at the first look of a boot';
const letters: Readonly<Record<string, StartKind>> = {
  p: 'power-on',
  r: 'restart',
  u: 'unknown',
};

function moment(boot: number, monoMs = 1000) {
  return { boot, monoMs, wallMs: startWallMs + boot * dayMs + monoMs };
}

function event(kind: 'part-missing' | 'part-back', boot: number, when: string): EventLook {
  const words = { text: `It is so${when}`, positionBytes: null };
  return { kind, ...words, ...moment(boot) };
}

/** Missing at the first look of one boot, back at that of another. */
function away(missing: number, back: number): readonly EventLook[] {
  return [event('part-missing', missing, atStart), event('part-back', back, atStart)];
}

/** `kinds` names the kind of each boot from the first on by its letter. */
function lived(
  kinds: string,
  oldestFirst: readonly EventLook[],
  change: Partial<CheckInput> = {},
): CheckInput {
  const boots = [...kinds].map((letter, at) => [at + 1, letters[letter] ?? 'unknown'] as const);
  return makeInput({
    events: oldestFirst.toReversed(),
    startKinds: new Map(boots),
    now: moment(kinds.length, 3_600_000),
    ...change,
  });
}

const outcomes = (input: CheckInput) => [
  brief(absentAfterPowerOn.judge(input)),
  brief(absentAfterRestart.judge(input)),
];

describe('a drive that comes and goes with the kind of start', () => {
  test.each<[string, CheckInput, [string[], string[]]]>([
    ['never missing', lived('uppr', []), [[], []]],
    ['missing after a power-on, there after a restart', lived('upr', away(2, 3)), [['short'], []]],
    ['missing after a restart, there after a power-on', lived('urp', away(2, 3)), [[], ['short']]],
    [
      'missing after two power-ons, there after a restart',
      lived('uppr', away(2, 4)),
      [['short'], []],
    ],
    [
      'missing and back at power-ons, as when its plug was seated',
      lived('upp', away(2, 3)),
      [[], []],
    ],
    ['missing after both kinds before it came back', lived('uprr', away(2, 4)), [[], []]],
    ['how the box started is not told', lived('uur', away(2, 3)), [['unknown'], ['unknown']]],
    [
      'how it started when the drive came back is not told',
      lived('upu', away(2, 3)),
      [['unknown'], ['unknown']],
    ],
    [
      'back in the middle of a boot, by a hand',
      lived('upr', [event('part-missing', 2, atStart), event('part-back', 3, '')]),
      [[], []],
    ],
    [
      'gone in the middle of a boot',
      lived('upr', [event('part-missing', 2, ''), event('part-back', 3, atStart)]),
      [[], []],
    ],
    ['missing again now', lived('uprp', away(2, 3), { gone: moment(4) }), [['short'], []]],
    ['two good power-ons since', lived('uprpp', away(2, 3)), [['short'], []]],
    ['three good power-ons since', lived('uprppp', away(2, 3)), [['met'], []]],
    [
      'three good restarts since say nothing of power-ons',
      lived('uprrrr', away(2, 3)),
      [['short'], []],
    ],
    [
      'missing again among the good ones',
      lived('uprpprpp', [...away(2, 3), ...away(5, 6)]),
      [['short'], []],
    ],
    ['no drive', lived('upr', away(2, 3), { kind: 'memory' }), [[], []]],
  ])('%s', (_, input, expected) => {
    expect(outcomes(input)).toEqual(expected);
  });

  test('the finding counts how often, with both sides of each as evidence', () => {
    const input = lived('uprpr', [...away(2, 3), ...away(4, 5)]);
    expect(absentAfterPowerOn.judge(input)).toEqual([
      {
        code: 'absent-after-power-on',
        subject: 'LK-0001',
        outcome: 'short',
        urgency: 'soon',
        measured: 2,
        expected: 0,
        unit: 'count',
        source: 'what the first look of each boot found',
        evidence: [
          { label: 'Not found after a power-on', value: 0, unit: 'count', boot: 2, monoMs: 1000 },
          { label: 'Found again after a restart', value: 1, unit: 'count', boot: 3, monoMs: 1000 },
          { label: 'Not found after a power-on', value: 0, unit: 'count', boot: 4, monoMs: 1000 },
          { label: 'Found again after a restart', value: 1, unit: 'count', boot: 5, monoMs: 1000 },
        ],
      },
    ]);
  });

  test('what a person accounted for does not open it again, a later one does', () => {
    const finding = makeFinding({
      code: 'absent-after-power-on',
      state: 'cleared',
      clearedBoot: 3,
      clearedWallMs: moment(3, 7_200_000).wallMs,
      clearedWhy: 'accounted-for',
    });
    const findings = [finding];
    expect(outcomes(lived('upr', away(2, 3), { findings }))[0]).toEqual([]);
    const again = lived('uprpr', [...away(2, 3), ...away(4, 5)], { findings });
    expect(absentAfterPowerOn.judge(again).map(({ measured }) => measured)).toEqual([1]);
  });

  test('it is told while the drive is away, when nothing else of it is', () => {
    const input = lived('uprp', away(2, 3), { gone: moment(4), lastSeen: moment(3) });
    expect(checkPart(input).map(({ code }) => code)).toEqual(['absent-after-power-on']);
  });
});
