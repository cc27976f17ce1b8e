import { expect, test } from 'vitest';
import type { RunEvent } from '../../../src/agent/burn-in/commands.js';
import type { Entry } from '../../../src/agent/burn-in/journal.js';
import { planBurnIn } from '../../../src/agent/burn-in/plan.js';
import {
  applyEntry,
  currentStage,
  freshRun,
  type RunState,
  stateWord,
} from '../../../src/agent/burn-in/run-state.js';
import { step } from '../../../src/agent/burn-in/step.js';
import type { WorkerResult } from '../../../src/agent/workers/worker.js';
import { MemoryDrive } from './memory-drive.js';

const drive = new MemoryDrive({ sizeBytes: 1024 * 1024 }).seen;
const size = 1024 * 1024;
const quarter = size / 4;
const plan = planBurnIn(drive, { erases: true, consented: [], returnIsOpen: null });

const readings = (stage: 'readings-before' | 'readings-after'): Entry => ({
  kind: 'result',
  body: { stage, readings: [] },
});
const complete = (stage: 'full-read' | 'stamped-write' | 'verify'): Entry => ({
  kind: 'result',
  body: { stage, outcome: 'complete' },
});
const progress = (
  stage: 'full-read' | 'stamped-write' | 'verify',
  from: number,
  to: number,
): Entry => ({
  kind: 'progress',
  body: { stage, fromByte: from, toByte: to, seconds: 1, bytesPerSecond: 1, errors: [] },
});
const intent = (from: number, to: number): Entry => ({
  kind: 'intent',
  body: { stage: 'stamped-write', fromByte: from, toByte: to, pass: 1 },
});

function after(...entries: readonly Entry[]): RunState {
  return entries.reduce(applyEntry, freshRun(plan));
}

const reading = after(readings('readings-before'));
const writing = after(
  readings('readings-before'),
  progress('full-read', 0, size),
  complete('full-read'),
);
const wrote = [
  readings('readings-before'),
  progress('full-read', 0, size),
  complete('full-read'),
  intent(0, quarter),
  progress('stamped-write', 0, quarter),
];
const ended = (result: Partial<WorkerResult>): RunEvent => ({
  event: 'worker-ended',
  result: {
    reason: 'done',
    code: null,
    text: 'x',
    exitCode: 0,
    signal: null,
    seconds: 1,
    atByte: null,
    ...result,
  },
});
const goOn: RunEvent = { event: 'go-on' };

function doings(state: RunState, event: RunEvent): string[] {
  return step(state, event).commands.map((command) => {
    if (command.do === 'append') {
      const { kind, body } = command.entry;
      return `${kind}:${'event' in body ? body.event : 'stage' in body ? body.stage : 'verdict'}`;
    }
    if (command.do === 'work') return `work:${command.order.do}:${command.order.fromByte}`;
    return command.do;
  });
}

test.each<[string, RunState, string[]]>([
  ['a fresh run', freshRun(plan), ['take-readings']],
  ['after the first readings', reading, ['work:read:0']],
  [
    'in the middle of reading',
    after(readings('readings-before'), progress('full-read', 0, quarter)),
    [`work:read:${quarter}`],
  ],
  ['after the full read', writing, ['work:write:0']],
  ['in the middle of writing', after(...wrote), [`work:write:${quarter}`]],
  [
    'after all was written',
    after(...wrote, progress('stamped-write', quarter, size)),
    ['result:stamped-write', 'go-on'],
  ],
])('%s goes on with the right work', (_what, state, expected) => {
  expect(doings(state, goOn)).toEqual(expected);
});

test('a whole run passes its stages in order and ends in the verdict', () => {
  let state = freshRun(plan);
  const seen: (string | null)[] = [];
  for (const entry of [
    ...wrote,
    intent(quarter, size),
    progress('stamped-write', quarter, size),
    complete('stamped-write'),
    progress('verify', 0, size),
    complete('verify'),
    readings('readings-after'),
  ]) {
    seen.push(currentStage(state));
    state = applyEntry(state, entry);
  }
  expect([...new Set(seen)]).toEqual([
    'readings-before',
    'full-read',
    'stamped-write',
    'verify',
    'readings-after',
  ]);
  expect(doings(state, goOn)).toEqual(['give-verdict']);
});

test('the intent is durable before the worker may write', () => {
  const asked = { event: 'asked', fromByte: 0, toByte: plan.stretchBytes } as const;
  expect(doings(writing, asked)).toEqual(['intent:stamped-write', 'let-write']);
});

test.each<[string, RunState, number, number]>([
  ['in the reading stage', reading, 0, plan.stretchBytes],
  ['beyond where the run stands', writing, quarter, quarter + 512],
  ['before where the run stands', after(...wrote), 0, 512],
  [
    'beyond the drive',
    after(...wrote, progress('stamped-write', quarter, size - 512)),
    size - 512,
    size + 512,
  ],
  ['more than a stretch', writing, 0, plan.stretchBytes + 512],
  ['nothing', writing, 0, 0],
])('a worker that asks to write %s is ended', (_what, state, fromByte, toByte) => {
  const done = doings(state, { event: 'asked', fromByte, toByte });
  expect(done).toEqual(['event:interrupted', 'end-worker']);
});

test('while what was written is verified again, nothing may be written', () => {
  const state = after(...wrote, {
    kind: 'event',
    body: { event: 'restarted', after: 'power-cut', text: '' },
  });
  expect(doings(state, goOn)).toEqual(['work:verify:0']);
  const asked = { event: 'asked', fromByte: quarter, toByte: quarter + 512 } as const;
  expect(doings(state, asked)).toEqual(['event:interrupted', 'end-worker']);
});

test('a run that only reads never lets anything be written', () => {
  const readOnly = planBurnIn(drive, { erases: false, consented: [], returnIsOpen: null });
  for (const state of [
    freshRun(readOnly),
    applyEntry(freshRun(readOnly), readings('readings-before')),
  ]) {
    const asked = { event: 'asked', fromByte: 0, toByte: 512 } as const;
    expect(doings(state, asked)).not.toContain('let-write');
  }
});

test('progress that claims more than its intent is not believed', () => {
  const asked = after(...wrote, intent(quarter, quarter + 4096));
  const claim = (fromByte: number, toByte: number) =>
    doings(asked, {
      event: 'progress',
      progress: { fromByte, toByte, seconds: 1, errors: [] },
    });
  expect(claim(quarter, quarter + 4096)).toEqual(['progress:stamped-write']);
  expect(claim(quarter, quarter + 8192)).toEqual(['event:interrupted', 'end-worker']);
  expect(claim(0, quarter)).toEqual(['event:interrupted', 'end-worker']);
});

test.each<[string, Partial<WorkerResult>, string[]]>([
  ['gone', { reason: 'refused', code: 'drive-gone' }, ['event:interrupted']],
  ['in use', { reason: 'refused', code: 'in-use' }, ['event:interrupted']],
  ['another one', { reason: 'refused', code: 'not-same-drive' }, ['event:interrupted']],
  ['stuck', { reason: 'stuck' }, ['event:interrupted']],
  ['slow', { reason: 'refused', code: 'too-slow' }, ['event:worker-failed', 'go-on']],
  ['without its worker', { reason: 'child-died' }, ['event:worker-failed', 'go-on']],
  ['silent', { reason: 'timed-out' }, ['event:worker-failed', 'go-on']],
  ['ended early', {}, ['event:worker-failed', 'go-on']],
  ['cancelled', { reason: 'cancelled' }, ['go-on']],
])('a drive %s', (_what, result, expected) => {
  expect(doings(reading, ended(result))).toEqual(expected);
});

test('three failures without a step interrupt the run; a step starts the count again', () => {
  const failed: Entry = { kind: 'event', body: { event: 'worker-failed', code: 'x', text: '' } };
  const twice = after(readings('readings-before'), failed, failed);
  expect(doings(twice, ended({ reason: 'child-died' }))).toEqual([
    'event:worker-failed',
    'event:interrupted',
  ]);
  const moved = applyEntry(twice, progress('full-read', 0, quarter));
  expect(doings(moved, ended({ reason: 'child-died' }))).toEqual(['event:worker-failed', 'go-on']);
});

test('heat pauses at 5 °C below the limit, and 55 °C where none is known', () => {
  const at = (celsius: number, limit: number | null, state = reading) =>
    doings(state, { event: 'temperature', celsius, limit });
  expect(at(54.9, 60)).toEqual(['event:temperature']);
  expect(at(55, 60)).toEqual(['event:temperature', 'event:paused', 'pause-worker']);
  expect(at(54, null)).toEqual(['event:temperature']);
  expect(at(55, null)).toEqual(['event:temperature', 'event:paused', 'pause-worker']);
  expect(at(Number.NaN, 60)).toEqual([]);
  const hot = applyEntry(reading, {
    kind: 'event',
    body: { event: 'paused', by: 'heat', text: '' },
  });
  expect(stateWord(hot)).toBe('paused');
  expect(at(50, 60, hot)).toEqual(['event:temperature']);
  expect(at(49, 60, hot)).toEqual(['event:temperature', 'event:resumed', 'unpause']);
});

test('what a person paused, cooling does not resume', () => {
  const paused = applyEntry(reading, {
    kind: 'event',
    body: { event: 'paused', by: 'person', text: '' },
  });
  expect(doings(paused, { event: 'temperature', celsius: 20, limit: 60 })).not.toContain('unpause');
  expect(doings(paused, goOn)).toEqual([]);
});

test('after the verdict nothing happens any more', () => {
  const over = after({ kind: 'result', body: { verdict: { advice: 'keep' } } });
  for (const event of [goOn, { event: 'pause' }, { event: 'stop' }, ended({})] as const) {
    expect(doings(over, event)).toEqual([]);
  }
  expect(doings(over, { event: 'asked', fromByte: 0, toByte: 512 })).toEqual(['end-worker']);
});

test('the state after a step is the state that its rows give', () => {
  const events: readonly RunEvent[] = [
    goOn,
    { event: 'asked', fromByte: quarter, toByte: quarter + 4096 },
    { event: 'pause' },
    { event: 'resume' },
    { event: 'stop' },
    { event: 'temperature', celsius: 70, limit: 60 },
    { event: 'restarted', after: 'power-cut' },
    { event: 'missing', text: 'x' },
    ended({ reason: 'child-died' }),
  ];
  for (const event of events) {
    const { state, commands } = step(after(...wrote), event);
    const rows = commands.flatMap((command) => (command.do === 'append' ? [command.entry] : []));
    expect(state).toEqual(after(...wrote, ...rows));
  }
});
