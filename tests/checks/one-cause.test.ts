import { describe, expect, it } from 'vitest';
import type { CheckResult, Finding } from '../../src/checks/finding.js';
import { judge } from '../../src/checks/judge.js';
import { hourMs, makeFinding, makeResult, startWallMs } from './make-check-input.js';

const at = { boot: 1, monoMs: 5 * hourMs, wallMs: startWallMs + 5 * hourMs };
const row = {
  label: 'Temperature, newest',
  value: 57,
  unit: 'celsius',
  boot: 1,
  monoMs: 4,
} as const;

function told(results: readonly CheckResult[], open: readonly Finding[] = []) {
  return judge({ results, open, at }).map(({ kind, finding }) => {
    const { code, subject, measured, urgency, clearedWhy } = finding;
    return `${kind} ${code} ${subject} ${kind === 'clear' ? clearedWhy : `${measured} ${urgency}`}`;
  });
}

const warns = (measured: number) =>
  makeResult({ code: 'drive-warns', subject: 'N', measured, expected: 0, unit: 'code' });
const warm = (subject: string, change: Partial<CheckResult> = {}) =>
  makeResult({ subject, evidence: [row], ...change });
const inBay = { sharedPart: 'box' };
const stopped = (change: Partial<CheckResult> = {}) =>
  makeResult({ code: 'fan-stopped', subject: 'chip', place: 'Cage fan', measured: 0, ...change });

describe('one heat of an NVMe drive', () => {
  it('is told by its temperature, not by its warning too', () => {
    expect(told([warns(2), warm('N')])).toEqual(['open too-warm N 57 soon']);
    expect(told([warns(2), warm('N', { provisional: true })])).toEqual([]);
  });

  it('is told by its warning where the temperature says nothing', () => {
    expect(told([warns(2), warm('N', { outcome: 'met' })])).toEqual(['open drive-warns N 2 soon']);
    expect(told([warns(2), warm('other')])).toHaveLength(2);
  });

  it('leaves other warnings open', () => {
    expect(told([warns(6), warm('N')])).toEqual([
      'open drive-warns N 4 soon',
      'open too-warm N 57 soon',
    ]);
  });

  it('closes the warning that was there first', () => {
    const first = makeFinding({ code: 'drive-warns', subject: 'N' });
    expect(told([warns(2), warm('N')], [first])).toEqual([
      'clear drive-warns N told-elsewhere',
      'open too-warm N 57 soon',
    ]);
  });
});

describe('warm drives that share their air', () => {
  it('are one finding about cooling; a single one is its own', () => {
    expect(told([warm('A', inBay), warm('B', inBay)])).toEqual(['open cooling-weak box 2 soon']);
    expect(told([warm('A', inBay), warm('N')])).toEqual([
      'open too-warm A 57 soon',
      'open too-warm N 57 soon',
    ]);
    const hot = warm('B', { ...inBay, urgency: 'today' });
    expect(told([warm('A', inBay), hot])).toEqual(['open cooling-weak box 2 today']);
  });

  it('clear when those that it names have cooled, whatever cannot be told of others', () => {
    const evidence = ['A', 'B'].map((drive) => ({ ...row, label: `${drive}: ${row.label}` }));
    const open = [makeFinding({ code: 'cooling-weak', subject: 'box', measured: 2, evidence })];
    const cool = { ...inBay, outcome: 'met' } as const;
    const unknown = { ...inBay, outcome: 'unknown' } as const;
    const all = (b: Partial<CheckResult>, c: Partial<CheckResult>) =>
      told([warm('A', cool), warm('B', b), warm('C', c)], open);
    expect(all(cool, unknown)).toEqual(['clear cooling-weak box as-expected']);
    expect(all(unknown, cool)).toEqual([]);
    expect(all({ ...cool, provisional: true }, cool)).toEqual([]);
    expect(all(cool, inBay)).toEqual(['hold cooling-weak box 1 soon']);
    expect(told([warm('A', cool), warm('C', unknown)], open)).toEqual([
      'clear cooling-weak box as-expected',
    ]);
  });

  it('are told by the fan that stands still, as urgent as they are, without waiting', () => {
    const hot = warm('B', { ...inBay, urgency: 'today' });
    const fan = stopped({ provisional: true });
    expect(told([fan])).toEqual([]);
    expect(told([warm('A', inBay), hot, fan])).toEqual(['open fan-stopped chip 0 today']);
    expect(told([warm('A', inBay), fan])).toEqual(['open fan-stopped chip 0 soon']);
    expect(told([warm('N'), stopped()])).toEqual([
      'open too-warm N 57 soon',
      'open fan-stopped chip 0 soon',
    ]);
  });

  it('stay the matter of the fan that turns again until they have cooled', () => {
    const open = [makeFinding({ code: 'fan-stopped', subject: 'chip', place: 'Cage fan' })];
    const turns = stopped({ outcome: 'met' });
    expect(told([warm('A', inBay), warm('B', inBay), turns], open)).toEqual([]);
    expect(told([turns], open)).toEqual(['clear fan-stopped chip as-expected']);
  });
});

describe('one path', () => {
  const slower = makeResult({ code: 'disk-link-slower', measured: 1.5e9, expected: 6e9 });
  const damaged = makeResult({ code: 'cable-errors-grew', measured: 9, expected: 0 });

  it('is one finding: damaged transfers tell of the lower speed that they lead to', () => {
    expect(told([slower])).toEqual(['open disk-link-slower LK-0001 1500000000 soon']);
    expect(told([slower, damaged])).toEqual(['open cable-errors-grew LK-0001 9 soon']);
  });

  it('is told by the open finding, also while this look cannot tell', () => {
    const open = [makeFinding({ code: 'cable-errors-grew' })];
    const unknown = { ...damaged, outcome: 'unknown' } as const;
    expect(told([slower, unknown], open)).toEqual([]);
    const over = { ...damaged, outcome: 'met' } as const;
    expect(told([slower, over], open)).toEqual([
      'open disk-link-slower LK-0001 1500000000 soon',
      'clear cable-errors-grew LK-0001 as-expected',
    ]);
  });
});
