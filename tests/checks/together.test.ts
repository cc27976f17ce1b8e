import { describe, expect, it } from 'vitest';
import {
  growingGroups,
  judgeTogether,
  type SharedPart,
  type TogetherStep,
} from '../../src/checks/together.js';

const drives = ['A', 'B', 'C', 'D'];

/** What drives of these speeds bring behind shared parts of these widths, shared out evenly. */
function measured(
  speeds: Readonly<Record<string, number>>,
  lanes: readonly { readonly drives: readonly string[]; readonly carries: number }[] = [],
) {
  const names = Object.keys(speeds);
  return growingGroups(names).map((group) => ({
    drives: group,
    rates: group.map((drive) => {
      const lane = lanes.find((one) => one.drives.includes(drive));
      const own = speeds[drive] ?? 0;
      if (lane === undefined) return own;
      const together = group.filter((one) => lane.drives.includes(one));
      const wanted = together.reduce((sum, one) => sum + (speeds[one] ?? 0), 0);
      return own * Math.min(1, lane.carries / wanted);
    }),
  }));
}

function verdictOf(
  steps: readonly TogetherStep[],
  shared: readonly SharedPart[] = [],
  expectedLow: (drive: string) => number | null = () => null,
) {
  return judgeTogether({ steps, shared, expectedLow });
}

const same = { A: 200e6, B: 200e6, C: 200e6, D: 200e6 };
const lane = { drives, carries: 421e6 };
const slot = { part: 'slot', drives, low: 410e6, high: 464e6 };
const chipset = { part: 'chipset', drives: [...drives, 'E'], low: 3.2e9, high: 3.4e9 };

describe('judgeTogether', () => {
  it('says that drives which keep their speed are as expected', () => {
    expect(verdictOf(measured(same), [slot, chipset])).toEqual({
      kind: 'each-as-alone',
      part: null,
      evidence: '4 drives together read 800 MB/s, each about as fast as alone',
      verdict: 'met',
    });
  });

  it('names the shared part whose width the flat sum is', () => {
    expect(verdictOf(measured(same, [lane]), [chipset, slot])).toEqual({
      kind: 'shared-stage',
      part: 'slot',
      evidence:
        '4 drives together bring 421 MB/s and no more, however many read; that is what it ' +
        'carries (410 MB/s to 464 MB/s)',
      verdict: 'met',
    });
  });

  it('says that a shared part carries less than it should', () => {
    const narrow = { ...lane, carries: 205e6 };
    const found = verdictOf(measured(same, [narrow]), [slot]);
    expect(found).toMatchObject({ kind: 'shared-stage', part: 'slot', verdict: 'short' });
    expect(found.evidence).toContain('it should carry 410 MB/s to 464 MB/s');
  });

  it('names a shared stage also when the model names no part', () => {
    const found = verdictOf(measured(same, [lane]));
    expect(found).toMatchObject({ kind: 'shared-stage', part: null, verdict: 'unknown' });
  });

  it('names the part of the two that lose, and not the one of all', () => {
    const two = { part: 'port-2', drives: ['C', 'D'], low: 270e6, high: 285e6 };
    const steps = measured(same, [{ drives: ['C', 'D'], carries: 275e6 }]);
    expect(verdictOf(steps, [slot, two])).toMatchObject({ kind: 'shared-stage', part: 'port-2' });
  });

  it('names one drive that is slow alone, by its expectation or by the others', () => {
    const steps = measured({ ...same, C: 40e6 });
    expect(verdictOf(steps)).toMatchObject({ kind: 'slow-drive', part: 'C', verdict: 'short' });
    const expected = verdictOf(steps, [slot], (drive) => (drive === 'C' ? 180e6 : 150e6));
    expect(expected.evidence).toBe('It reads 40 MB/s alone, expected at least 180 MB/s');
    // A slower kind of drive that is as fast as its kind should be is no slow drive.
    expect(verdictOf(steps, [slot], () => 35e6).kind).toBe('each-as-alone');
  });

  it('does not blame a part when the sum still grows', () => {
    const steps = growingGroups(drives).map((group) => ({
      drives: group,
      rates: group.map(() => 200e6 * (group.length === 1 ? 1 : 0.85)),
    }));
    expect(verdictOf(steps, [slot])).toMatchObject({ kind: 'all-slower', verdict: 'unknown' });
  });

  it('cannot tell with a drive that gave no figure, or with one drive', () => {
    const steps = measured(same).map((step) => ({ ...step, rates: step.rates.map(() => null) }));
    expect(verdictOf(steps).kind).toBe('cannot-tell');
    expect(verdictOf(measured({ A: 200e6 })).kind).toBe('cannot-tell');
    expect(verdictOf([]).kind).toBe('cannot-tell');
  });
});

describe('growingGroups', () => {
  it.each([
    [0, []],
    [1, [1]],
    [2, [1, 1, 2]],
    [4, [1, 1, 1, 1, 2, 3, 4]],
    [9, [...Array(9).fill(1), 2, 3, 4, 6, 9]],
  ])('of %d drives', (count, sizes) => {
    const names = Array.from({ length: count }, (_, at) => `D${at}`);
    expect(growingGroups(names).map(({ length }) => length)).toEqual(sizes);
  });
});
