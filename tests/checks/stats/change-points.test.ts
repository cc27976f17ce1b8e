import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { changePoints, stepNoise } from '../../../src/checks/stats/change-points.js';
import { median } from '../../../src/checks/stats/median.js';

// Annual flow of the Nile at Aswan 1871 to 1970 (Cobb 1978); one break after 1898 is published.
const nile = [
  1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180,
  799, 958, 1140, 1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840, 874, 694, 940, 833, 701,
  916, 692, 1020, 1050, 969, 831, 726, 456, 824, 702, 1120, 1100, 832, 764, 821, 768, 845, 864, 862,
  698, 845, 744, 796, 1040, 759, 781, 865, 845, 944, 984, 897, 822, 1010, 771, 676, 649, 846, 812,
  742, 801, 1040, 860, 874, 848, 890, 744, 749, 838, 1050, 918, 986, 797, 923, 975, 815, 1020, 906,
  901, 1170, 912, 746, 919, 718, 714, 740,
];

describe('changePoints', () => {
  it('finds the break in the flow of the Nile that is published, and no other', () => {
    const noise = stepNoise(nile);
    expect(noise).toBeCloseTo(115.32, 2);
    for (const factor of [2, 3]) {
      const penalty = factor * noise ** 2 * Math.log(nile.length);
      expect(changePoints(nile, { penalty })).toEqual([28]);
    }
  });

  it('finds two steps exactly where they are', () => {
    const series = [...Array(30).fill(5), ...Array(20).fill(9), ...Array(25).fill(5)];
    expect(changePoints(series, { penalty: 1 })).toEqual([30, 50]);
    expect(changePoints(series, { penalty: 1, shortest: 10 })).toEqual([30, 50]);
  });

  it('keeps each stretch as long as asked', () => {
    const series = [1, 1, 1, 1, 9, 1, 1, 1, 1, 1];
    expect(changePoints(series, { penalty: 0.1 })).toEqual([4, 5]);
    expect(changePoints(series, { penalty: 1e6, shortest: 3 })).toEqual([]);
  });

  it.each([[[]], [[7]], [[7, 7]]])('has nothing to split in %j', (series) => {
    expect(changePoints(series, { penalty: 1, shortest: 2 })).toEqual([]);
  });

  it('costs no more than any single split, whatever the series', () => {
    const cost = (part: readonly number[]) => {
      const mean = part.reduce((sum, one) => sum + one, 0) / part.length;
      return part.reduce((sum, one) => sum + (one - mean) ** 2, 0);
    };
    const total = (series: readonly number[], points: readonly number[], penalty: number) =>
      [0, ...points].reduce(
        (sum, start, at) => sum + cost(series.slice(start, points[at] ?? series.length)),
        penalty * points.length,
      );
    const values = fc.array(fc.integer({ min: 0, max: 100 }), { minLength: 4, maxLength: 40 });
    fc.assert(
      fc.property(values, fc.integer({ min: 1, max: 4000 }), (series, penalty) => {
        const found = total(series, changePoints(series, { penalty }), penalty);
        for (let at = 1; at < series.length; at += 1) {
          expect(found).toBeLessThanOrEqual(total(series, [at], penalty) + 1e-6);
        }
        expect(found).toBeLessThanOrEqual(total(series, [], penalty) + 1e-6);
      }),
      { numRuns: 200 },
    );
  });
});

describe('median', () => {
  it.each([
    [[3], 3],
    [[1, 2], 1.5],
    [[5, 1, 9], 5],
    [[4, 1, 3, 2], 2.5],
  ])('of %j is %d', (values, expected) => {
    expect(median(values)).toBe(expected);
  });

  it('of nothing is no number', () => {
    expect(median([])).toBeNaN();
  });
});
