import { expect, test } from 'vitest';
import type { LatestReading, PartRow } from '../../src/agent/store/rows.js';
import { switchOffView } from '../../src/web/box-view.js';
import { fakeStore, nowMs, status } from './fake-store.js';

const array: PartRow = {
  id: 4,
  kind: 'array',
  identityKey: 'md:3aaa012229827cfa5331ad66ca767371',
  name: 'array-tapes',
  label: 'Array "tapes", mirror',
  details: {},
  firstBoot: 1,
  firstWallMs: nowMs,
  lastSeen: { boot: status.boot, monoMs: 0, wallMs: nowMs },
};

function reading(metric: string, value: number, boot: number): LatestReading {
  return {
    seriesId: 1,
    boot,
    monoMs: 0,
    wallMs: nowMs,
    lastMonoMs: 0,
    lastWallMs: nowMs,
    state: 'measured',
    value,
    low: null,
    high: null,
    text: '',
    metric,
    place: '',
    unit: 'code',
    source: 'Kernel file',
    firstValue: value,
    firstWallMs: nowMs,
  };
}

function answerWith(
  parts: readonly PartRow[],
  latest: readonly LatestReading[],
  emptyWhy: Record<string, string> = {},
) {
  return switchOffView({
    agent: { answers: true, status: { ...status, emptyWhy } },
    nowMs,
    store: fakeStore({ parts: () => parts, latest: () => latest }),
    parts,
  });
}

test('a rebuilding array without spare redundancy makes switching off a danger', () => {
  const latest = [
    reading('array-work', 2, status.boot),
    reading('array-may-still-fail', 0, status.boot),
    reading('array-work-left', 60, status.boot),
  ];
  const { answer, untilMs } = answerWith([array], latest);
  expect(answer).toBe('no-danger');
  expect(untilMs).toBe(nowMs + 60_000);
});

test('an idle array leaves nothing open', () => {
  const { answer, caveats } = answerWith([array], [reading('array-work', 0, status.boot)]);
  expect([answer, caveats]).toEqual(['yes', []]);
});

test('readings of an earlier boot and arrays never looked for are not known', () => {
  expect(answerWith([array], [reading('array-work', 0, 2)]).caveats).toHaveLength(1);
  expect(answerWith([], []).caveats).toHaveLength(1);
  expect(answerWith([], [], { arrays: 'The kernel runs no array' }).caveats).toEqual([]);
});
