import { expect, it } from 'vitest';
import type { EventLook } from '../../../src/checks/check.js';
import type { EventKind } from '../../../src/checks/event.js';
import { judge } from '../../../src/checks/judge.js';
import { boardReports } from '../../../src/checks/rules/board-reports.js';
import { wordFinding } from '../../../src/checks/wording.js';
import {
  brief,
  dayMs,
  hourMs,
  makeFinding,
  makeInput,
  makeResult,
  startWallMs,
} from '../make-check-input.js';

function entry(kind: EventKind, hours: number, text = 'A supply failed'): EventLook {
  const monoMs = hours * hourMs;
  return { kind, boot: 1, monoMs, wallMs: startWallMs + monoMs, positionBytes: null, text };
}

const about = { kind: 'management-controller', subject: 'management-controller' } as const;
const reports = (events: readonly EventLook[], change = {}) =>
  boardReports.judge(makeInput({ ...about, events, ...change }));

it.each([
  ['a supply that failed', [entry('supply-fault', 2)], ['short']],
  ['two entries of one kind', [entry('supply-fault', 2), entry('supply-fault', 3)], ['short']],
  ['two kinds', [entry('supply-fault', 2), entry('fan-fault', 3)], ['short', 'short']],
  ['an entry of the past owner', [entry('supply-fault', -24 * 200)], []],
  ['one that the first look found', [entry('supply-fault', 1 / 6)], []],
  ['one just after that', [entry('supply-fault', 0.17)], ['short']],
  ['entries that are no fault', [entry('controller-event', 2), entry('log-gap', 3)], []],
  ['nothing', [], []],
])('%s', (_name, events, outcome) => {
  expect(brief(reports(events))).toEqual(outcome);
});

it('tells what the entry says and what to look at', () => {
  const [result] = reports([entry('supply-fault', 2, 'A supply failed (sensor “PS2”)')]);
  const words = wordFinding(makeFinding({ ...result, nextStep: '' }));
  expect(words.sentence).toBe('Its log says: A supply failed (sensor “PS2”).');
  expect(words.nextStep).toMatch(/^Look at the lamp and the mains plug of the supply/);
});

it('closes 30 days after the newest entry, and when accounted for counts anew', () => {
  const open = makeFinding({
    code: 'board-reports-fault',
    place: 'supply-fault',
    ...{ subject: about.subject },
  });
  const now = { boot: 4, monoMs: 0, wallMs: startWallMs + 31 * dayMs };
  expect(brief(reports([entry('supply-fault', 2)], { findings: [open], now }))).toEqual(['met']);
  const ended = {
    ...open,
    state: 'cleared',
    clearedWhy: 'accounted-for',
    clearedBoot: 1,
    clearedWallMs: startWallMs + 3 * hourMs,
  } as const;
  const after = [entry('supply-fault', 2), entry('fan-fault', 2)];
  expect(reports(after, { findings: [ended] }).map(({ place }) => place)).toEqual(['fan-fault']);
});

it('is not told twice: the kernel’s own count of memory errors stands for the entry', () => {
  const [logged] = reports([entry('memory-error', 2)]);
  const counted = makeResult({ code: 'memory-errors', subject: 'memory-a2' });
  const results = logged === undefined ? [] : [logged, counted];
  const changes = judge({ results, open: [], at: makeInput({}).now });
  expect(changes.map(({ finding }) => finding.code)).toEqual(['memory-errors']);
});
