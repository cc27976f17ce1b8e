import { describe, expect, it } from 'vitest';
import type { CheckInput, Look } from '../../../src/checks/check.js';
import {
  cableGrowth,
  powerGrowth,
  responseGrowth,
  surfaceGrowth,
} from '../../../src/checks/rules/damage-growth.js';
import {
  brief,
  dayMs,
  hourMs,
  look,
  makeFinding,
  makeInput,
  series,
  startWallMs,
  steady,
} from '../make-check-input.js';

const at = (...values: readonly (number | 'asleep')[]) =>
  values.map((value, index) => look(value, 1 + index));

function surface(looks: readonly Look[], change: Partial<CheckInput> = {}) {
  return surfaceGrowth.judge(
    makeInput({ series: [series('reallocated-sectors', looks)], ...change }),
  );
}

describe('growth of surface damage', () => {
  it.each([
    ['zero and steady', at(0, 0, 0), 'met'],
    ['a level that was there before, steady', at(240, 240), 'met'],
    ['grown by one, seen once', at(0, 1), 'short?'],
    ['grown by one, seen twice', at(0, 1, 1), 'short'],
    ['grown and asleep since', at(0, 1, 1, 'asleep'), 'short'],
    ['one row of a counter that two looks saw', [look(4, 1, { lastMonoMs: 2 * hourMs })], 'met'],
    ['went backwards', at(12, 3), 'unknown'],
    ['went backwards and grew after that', at(12, 3, 5, 5), 'short'],
    ['one look', at(7), 'unknown'],
    ['asleep', at('asleep', 'asleep'), 'unknown'],
    ['not a number', [look(Number.NaN, 1), look(Number.POSITIVE_INFINITY, 2)], 'unknown'],
    ['not a number between', [look(2, 1), look(Number.NaN, 2), look(2, 3)], 'met'],
  ])('%s', (_name, looks, outcome) => {
    expect(brief(surface(looks))).toEqual([outcome]);
  });

  it('says nothing when the drive keeps no such record', () => {
    expect(surfaceGrowth.judge(makeInput({ series: [steady('temperature', 30)] }))).toEqual([]);
  });

  it('counts from the first number ever, when older looks are no longer at hand', () => {
    const first = { boot: 0, monoMs: 0, wallMs: startWallMs - dayMs, value: 2 };
    const grown = series('reallocated-sectors', at(9, 9), { first });
    const [result] = surfaceGrowth.judge(makeInput({ series: [grown] }));
    expect(result).toMatchObject({ outcome: 'short', measured: 9, expected: 2 });
  });

  it('does not take the first number for a second look', () => {
    const only = look(5, 1);
    const one = series('reallocated-sectors', [only], { first: { ...only, value: 5 } });
    expect(brief(surfaceGrowth.judge(makeInput({ series: [one] })))).toEqual(['unknown']);
  });

  it('is one finding for all records of the same cause, with rows for each', () => {
    const results = surfaceGrowth.judge(
      makeInput({
        series: [
          series('reallocated-sectors', at(0, 8, 8)),
          series('pending-sectors', at(0, 16, 16)),
          series('uncorrectable-sectors', at(0, 0, 0)),
        ],
      }),
    );
    expect(results).toHaveLength(1);
    expect(results[0]).toMatchObject({ urgency: 'today', measured: 16, expected: 0 });
    expect(results[0]?.evidence.map(({ label, value }) => [label, value])).toEqual([
      ['Reallocated sectors (5), first', 0],
      ['Reallocated sectors (5), now', 8],
      ['Pending sectors (197), first', 0],
      ['Pending sectors (197), now', 16],
    ]);
  });

  it('is soon for healed sectors and today for unreadable ones', () => {
    expect(surface(at(0, 8, 8))[0]?.urgency).toBe('soon');
    const pending = makeInput({ series: [series('pending-sectors', at(0, 8, 8))] });
    expect(surfaceGrowth.judge(pending)[0]?.urgency).toBe('today');
  });

  it('pending sectors that went back are as expected', () => {
    const pending = makeInput({ series: [series('pending-sectors', at(0, 8, 8, 0, 0))] });
    expect(brief(surfaceGrowth.judge(pending))).toEqual(['met']);
  });

  it('does not go back to the first number when the looks at hand begin after a clearing', () => {
    const cleared = makeFinding({
      code: 'surface-damage-grew',
      state: 'cleared',
      clearedBoot: 1,
      clearedWallMs: startWallMs + hourMs / 2,
    });
    const first = { boot: 0, monoMs: 0, wallMs: startWallMs - dayMs, value: 0 };
    const judge = (looks: readonly Look[]) =>
      surfaceGrowth.judge(
        makeInput({ series: [series('pending-sectors', looks, { first })], findings: [cleared] }),
      );
    expect(brief(judge(at(8, 8)))).toEqual(['met']);
    expect(brief(judge(at(8, 9, 9)))).toEqual(['short']);
  });

  it('counts anew from where the last finding was cleared', () => {
    const cleared = makeFinding({
      code: 'surface-damage-grew',
      state: 'cleared',
      clearedBoot: 1,
      clearedWallMs: startWallMs + 3.5 * hourMs,
    });
    expect(brief(surface(at(0, 8, 8, 8), { findings: [cleared] }))).toEqual(['met']);
    expect(brief(surface(at(0, 8, 8, 9, 9), { findings: [cleared] }))).toEqual(['short']);
    const other = { ...cleared, subject: 'LK-0002' };
    expect(brief(surface(at(0, 8, 8, 8), { findings: [other] }))).toEqual(['short']);
    const open = { ...cleared, state: 'open', clearedBoot: null, clearedWallMs: null } as const;
    expect(brief(surface(at(0, 8, 8, 8), { findings: [open] }))).toEqual(['short']);
  });
});

describe('growth that has stopped', () => {
  // Grew at hour 2; now 30 days later, and the drive was powered for the given hours since.
  function later(days: number, poweredHours: number, metric = 'reallocated-sectors') {
    const end = 2 + days * 24;
    return surfaceGrowth.judge(
      makeInput({
        series: [
          series(metric, [...at(0, 8, 8), look(8, end)]),
          series('power-on-hours', [look(1000, 2), look(1000 + poweredHours, end)]),
        ],
        now: { boot: 1, monoMs: end * hourMs, wallMs: startWallMs + end * hourMs },
      }),
    );
  }

  it.each([
    [30, 200, 'met'],
    [30, 199, 'short'],
    [29.9, 500, 'short'],
  ])('after %d days and %d powered hours: %s', (days, hours, outcome) => {
    expect(brief(later(days, hours))).toEqual([outcome]);
  });

  it('does not close pending sectors that are still there', () => {
    expect(brief(later(90, 900, 'pending-sectors'))).toEqual(['short']);
  });

  it('stays open when the powered hours are not known', () => {
    const now = { boot: 1, monoMs: 90 * dayMs, wallMs: startWallMs + 90 * dayMs };
    expect(brief(surface(at(0, 8, 8), { now }))).toEqual(['short']);
  });
});

describe('growth of other causes', () => {
  it('blames the cable, not the drive, and names the shared controller', () => {
    const [result] = cableGrowth.judge(
      makeInput({
        controller: 'board-sata',
        series: [series('interface-crc-errors', at(3, 9, 9))],
      }),
    );
    expect(result).toMatchObject({
      code: 'cable-errors-grew',
      outcome: 'short',
      sharedPart: 'board-sata',
      urgency: 'soon',
    });
  });

  // One emergency head park per start of the box is no fault: somebody may have pulled the plug.
  it.each([
    [3, 'met'],
    [4, 'short'],
  ])('three boots and %d more emergency head parks: %s', (parks, outcome) => {
    const looks = [look(10, 1), look(10 + parks, 2, { boot: 4 }), look(10 + parks, 3, { boot: 4 })];
    const now = { boot: 4, monoMs: 5 * hourMs, wallMs: startWallMs + dayMs };
    const input = makeInput({ series: [series('emergency-head-parks', looks)], now });
    expect(brief(powerGrowth.judge(input))).toEqual([outcome]);
  });

  it('sees overdue commands', () => {
    const grew = makeInput({ series: [series('commands-overdue', at(0, 2, 2))] });
    expect(brief(responseGrowth.judge(grew))).toEqual(['short']);
    const input = makeInput({ series: [steady('commands-overdue', 0)] });
    expect(brief(responseGrowth.judge(input))).toEqual(['met']);
    expect(brief(cableGrowth.judge(input))).toEqual([]);
  });
});
