import { expect, it } from 'vitest';
import type { Look } from '../../../src/checks/check.js';
import { fanStopped } from '../../../src/checks/rules/fan-stopped.js';
import { wordFinding } from '../../../src/checks/wording.js';
import { brief, look, makeFinding, makeInput, minuteMs, series } from '../make-check-input.js';

/** Looks ten minutes apart. */
const at = (...values: readonly (number | 'no-figure')[]) =>
  values.map((value, index) => look(value, 1, { monoMs: (60 + 10 * index) * minuteMs }));

function judge(looks: readonly Look[], limit: number | null = null) {
  const fan = series('fan-speed', looks, { place: 'Cage fan' });
  const limits =
    limit === null ? [] : [series('fan-speed-limit', [look(limit, 1)], { place: 'Cage fan' })];
  return fanStopped.judge(
    makeInput({ kind: 'sensor-chip', subject: 'boardsense', series: [fan, ...limits] }),
  );
}

it.each([
  ['turns', at(860, 850), null, ['met']],
  ['stands still, seen once', at(860, 0), null, ['short?']],
  ['stands still for twenty minutes', at(860, 0, 0, 0), null, ['short?']],
  ['stands still for thirty minutes', at(860, 0, 0, 0, 0), null, ['short']],
  ['turns again, seen once', at(860, 0, 0, 0, 0, 850), null, ['met?']],
  ['was never seen turning: perhaps no fan is there', at(0, 0, 0, 0, 0), null, []],
  ['stops and starts by itself', at(860, 0, 850, 0, 0, 0, 0), null, ['unknown']],
  ['gives no figure now', at(860, 'no-figure'), null, ['unknown']],
  ['at its limit', at(400, 400), 400, ['met']],
  ['just below its limit for thirty minutes', at(399, 399, 399, 399), 400, ['short']],
  ['below its limit for twenty minutes', at(399, 399, 399), 400, ['short?']],
])('a fan that %s', (_name, looks, limit, outcomes) => {
  expect(brief(judge(looks, limit))).toEqual(outcomes);
});

it('names the fan, what it does and what it should', () => {
  const [result] = judge(at(860, 0, 0, 0, 0));
  const words = wordFinding(makeFinding({ ...result, nextStep: '' }));
  expect(words.sentence).toBe('Cage fan turns at 0 rpm.');
  expect(words.expectedSentence).toBe('Expected: at least 1 rpm (it was seen turning before).');
});
