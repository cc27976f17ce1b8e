import { describe, expect, it } from 'vitest';
import type { SeriesHistory } from '../../../src/checks/check.js';
import { moduleLight, moduleWarm } from '../../../src/checks/rules/network-module.js';
import { brief, look, makeFinding, makeInput, series } from '../make-check-input.js';

const at = (...values: readonly (number | 'no-figure')[]) =>
  values.map((value, index) => look(value, 1 + index));
const card = (all: readonly SeriesHistory[], change = {}) =>
  makeInput({ kind: 'network-card', subject: 'network-card', series: all, ...change });

describe('the warmth of a module', () => {
  const limit = series('temperature-limit', at(70), { place: 'module' });
  const judged = (values: readonly (number | 'no-figure')[], change = {}) =>
    brief(
      moduleWarm.judge(
        card([series('temperature', at(...values), { place: 'module' }), limit], change),
      ),
    );
  it.each([
    ['just below its limit', [69.9, 69.9], ['met']],
    ['at its limit, seen once', [60, 70], ['short?']],
    ['at its limit, seen twice', [60, 70, 70], ['short']],
    ['gives no figure', ['no-figure'], ['unknown']],
  ] as const)('%s', (_name, values, outcome) => {
    expect(judged(values)).toEqual(outcome);
  });

  it('closes 3 degrees below only', () => {
    const findings = [makeFinding({ code: 'module-warm', subject: 'network-card' })];
    expect(judged([68, 67], { findings })).toEqual(['short']);
    expect(judged([66.9, 66.9], { findings })).toEqual(['met']);
  });

  it('cannot be told without a limit, and is no question without a module', () => {
    const alone = card([series('temperature', at(60, 60), { place: 'module' })]);
    expect(brief(moduleWarm.judge(alone))).toEqual(['unknown']);
    expect(moduleWarm.judge(card([]))).toEqual([]);
  });
});

describe('light that comes in', () => {
  const judged = (values: readonly number[], rate: number | 'no-figure' = 10e9) =>
    moduleLight.judge(
      card([
        series('optical-power', at(...values), { place: 'light received' }),
        series('optical-power', at(1, 1), { place: 'light sent' }),
        series('optical-power-limit', at(5), { place: 'light received, lowest' }),
        series('network-rate', at(rate)),
      ]),
    );
  it.each([
    ['at the limit', [5, 5], ['met']],
    ['below it, seen once', [500, 4.9], ['short?']],
    ['below it, seen twice', [500, 4.9, 4.9], ['short']],
  ])('%s', (_name, values, outcome) => {
    expect(brief(judged(values))).toEqual(outcome);
  });

  it('cannot be told without a link: perhaps nobody sends', () => {
    expect(brief(judged([0, 0], 'no-figure'))).toEqual(['unknown']);
  });
});
