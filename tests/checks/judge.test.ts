import { describe, expect, it } from 'vitest';
import type { CheckResult, Finding } from '../../src/checks/finding.js';
import { judge } from '../../src/checks/judge.js';
import { hourMs, makeFinding, makeResult, startWallMs } from './make-check-input.js';

const at = { boot: 3, monoMs: 9 * hourMs, wallMs: startWallMs + 9 * hourMs };

function changes(results: readonly CheckResult[], open: readonly Finding[] = []) {
  return judge({ results, open, at });
}

function brief(results: readonly CheckResult[], open: readonly Finding[] = []) {
  return changes(results, open).map(
    ({ kind, finding }) => `${kind} ${finding.code} ${finding.subject}`,
  );
}

describe('judge', () => {
  const open = makeFinding({ evidence: [] });
  // Rows: result of this look. Columns: what becomes of it without and with an open finding.
  it.each([
    ['short', makeResult({ measured: 58 }), ['open'], ['hold']],
    ['short, provisional', makeResult({ measured: 58, provisional: true }), [], []],
    ['met', makeResult({ outcome: 'met' }), [], ['clear']],
    ['met, provisional', makeResult({ outcome: 'met', provisional: true }), [], []],
    ['unknown', makeResult({ outcome: 'unknown', measured: null, why: 'Asleep' }), [], []],
    ['of another place', makeResult({ place: 'sensor 2' }), ['open'], ['open']],
    ['of another drive', makeResult({ subject: 'LK-0002' }), ['open'], ['open']],
  ])('%s', (_name, result, without, beside) => {
    expect(changes([result]).map(({ kind }) => kind)).toEqual(without);
    expect(changes([result], [open]).map(({ kind }) => kind)).toEqual(beside);
  });

  it('changes nothing without results: silence is no proof of health', () => {
    expect(changes([], [open])).toEqual([]);
  });

  it('opens with the moment, the figures and the next step', () => {
    expect(changes([makeResult({})])[0]?.finding).toEqual({
      code: 'too-warm',
      subject: 'LK-0001',
      place: '',
      state: 'open',
      urgency: 'soon',
      measured: 57,
      expected: 55,
      unit: 'celsius',
      source: 'test record',
      evidence: [],
      nextStep:
        'Stop long work on this drive, look whether its fan turns and air can pass, and let it cool before going on.',
      openedBoot: 3,
      openedMonoMs: 9 * hourMs,
      openedWallMs: startWallMs + 9 * hourMs,
      clearedBoot: null,
      clearedWallMs: null,
      clearedWhy: null,
      acknowledged: false,
      accountedFor: false,
    });
  });

  it('holds with new figures, keeps when it opened, and is quiet when nothing changed', () => {
    const [first] = changes([makeResult({ urgency: 'today', measured: 61 })], [open]);
    expect(first).toMatchObject({
      kind: 'hold',
      finding: { id: 1, measured: 61, urgency: 'today', openedBoot: 1, openedMonoMs: 0 },
    });
    const held = { ...makeFinding({}), ...first?.finding, id: 1 };
    expect(changes([makeResult({ urgency: 'today', measured: 61 })], [held])).toEqual([]);
  });

  it('clears with the moment and keeps the last figures as the record', () => {
    expect(changes([makeResult({ outcome: 'met', measured: 40 })], [open])[0]).toMatchObject({
      kind: 'clear',
      finding: {
        id: 1,
        state: 'cleared',
        measured: 57,
        clearedBoot: 3,
        clearedWallMs: startWallMs + 9 * hourMs,
      },
    });
  });

  it('lets no good result hide a bad one of the same key', () => {
    const pair = [makeResult({ outcome: 'met' }), makeResult({}), makeResult({ outcome: 'met' })];
    expect(brief(pair)).toEqual(['open too-warm LK-0001']);
    const unsure = [makeResult({ outcome: 'met' }), makeResult({ outcome: 'unknown' })];
    expect(brief(unsure, [open])).toEqual([]);
  });
});

describe('accounting for a finding', () => {
  const growth = {
    code: 'surface-damage-grew',
    measured: 8,
    expected: 0,
    unit: 'sectors',
  } as const;

  it('closes growth, also while the result is still short, and opens nothing in its place', () => {
    const accounted = makeFinding({ ...growth, acknowledged: true, accountedFor: true });
    expect(brief([makeResult(growth)], [accounted])).toEqual(['clear surface-damage-grew LK-0001']);
    expect(brief([], [accounted])).toEqual(['clear surface-damage-grew LK-0001']);
  });

  it('does not close what is still wrong', () => {
    const seen = makeFinding({ code: 'drive-says-failing', accountedFor: true });
    expect(brief([], [seen])).toEqual([]);
  });
});

describe('several drives of one controller', () => {
  function crc(subject: string, change: Partial<CheckResult> = {}): CheckResult {
    return makeResult({
      code: 'cable-errors-grew',
      subject,
      unit: 'count',
      measured: 9,
      expected: 0,
      sharedPart: 'board-sata',
      evidence: [{ label: 'CRC, now', value: 9, unit: 'count', boot: 3, monoMs: 8 * hourMs }],
      ...change,
    });
  }
  const growAt = (boot: number, hours: number): Partial<CheckResult> => ({
    evidence: [{ label: 'CRC, now', value: 9, unit: 'count', boot, monoMs: hours * hourMs }],
  });
  const shared = makeFinding({
    id: 7,
    code: 'controller-link-errors',
    subject: 'board-sata',
    measured: 2,
  });

  it.each([
    ['one drive', [crc('A')], ['open cable-errors-grew A']],
    ['two drives', [crc('A'), crc('B')], ['open controller-link-errors board-sata']],
    [
      'two drives, 24 hours apart',
      [crc('A', growAt(3, 1)), crc('B', growAt(3, 25))],
      ['open controller-link-errors board-sata'],
    ],
    [
      'two drives, more than 24 hours apart',
      [crc('A', growAt(3, 1)), crc('B', growAt(3, 25.1))],
      ['open cable-errors-grew A', 'open cable-errors-grew B'],
    ],
    [
      'two drives, neighbouring boots',
      [crc('A', growAt(2, 1)), crc('B', growAt(3, 1))],
      ['open controller-link-errors board-sata'],
    ],
    [
      'two drives, boots far apart',
      [crc('A', growAt(1, 1)), crc('B', growAt(3, 1))],
      ['open cable-errors-grew A', 'open cable-errors-grew B'],
    ],
    [
      'two drives of two controllers',
      [crc('A'), crc('B', { sharedPart: 'disk-card' })],
      ['open cable-errors-grew A', 'open cable-errors-grew B'],
    ],
    [
      'two drives, one only provisional',
      [crc('A'), crc('B', { provisional: true })],
      ['open cable-errors-grew A'],
    ],
    [
      'link speed of one and CRC errors of another',
      [crc('A'), crc('B', { code: 'disk-link-slower' })],
      ['open controller-link-errors board-sata'],
    ],
    [
      'link speed and CRC errors of the same drive: one cable',
      [crc('A'), crc('A', { code: 'disk-link-slower' })],
      ['open cable-errors-grew A'],
    ],
  ])('%s', (_name, results, expected) => {
    expect(brief(results)).toEqual(expected);
  });

  it('tells an open finding about one drive under the controller from then on', () => {
    const single = makeFinding({ code: 'cable-errors-grew', subject: 'A' });
    expect(brief([crc('A'), crc('B')], [single])).toEqual([
      'clear cable-errors-grew A',
      'open controller-link-errors board-sata',
    ]);
  });

  it('holds while one drive is short, clears when all are met, waits otherwise', () => {
    const met = { outcome: 'met' } as const;
    expect(brief([crc('A'), crc('B', met)], [shared])).toEqual([
      'hold controller-link-errors board-sata',
    ]);
    expect(brief([crc('A', met), crc('B', met)], [shared])).toEqual([
      'clear controller-link-errors board-sata',
    ]);
    expect(brief([crc('A', met), crc('B', { outcome: 'unknown' })], [shared])).toEqual([]);
    expect(brief([crc('A', met)], [shared])).toEqual([]);
  });

  it('names each drive in the evidence', () => {
    const [change] = changes([crc('A'), crc('B')]);
    expect(change?.finding.evidence.map(({ label }) => label)).toEqual([
      'A: CRC, now',
      'B: CRC, now',
    ]);
    expect(change?.finding.measured).toBe(2);
  });
});
