import { describe, expect, it } from 'vitest';
import { heldBytes, splitTrace } from '../../../src/checks/trace/split-trace.js';
import { evenRates } from '../../../src/checks/trace/trace.js';
import { makeSteady, makeTrace } from './made-trace.js';

/** The first twenty were looked at while limits were chosen; the others only when they stood. */
const count = (first: number) => Array.from({ length: 20 }, (_, at) => first + at);
const seeds = [...count(1), ...count(101)];

function near(found: number | undefined, expected: number, share: number): void {
  expect(Math.abs((found ?? Number.NaN) / expected - 1)).toBeLessThan(share);
}

describe.each(seeds)('a copy through memory, seed %d', (seed) => {
  const made = makeTrace(seed);
  const parts = splitTrace(made.points);
  const of = (kind: string) => parts.find((part) => part.kind === kind);

  it('has its knee within a second of the true one', () => {
    expect(Math.abs((of('memory')?.toSeconds ?? Number.NaN) - made.kneeSeconds)).toBeLessThan(1);
    const start = of('sustained')?.fromSeconds ?? Number.NaN;
    expect(Math.abs(start - made.kneeSeconds - made.dipSeconds)).toBeLessThan(1);
  });

  it('has its speeds within 5 % of the true ones', () => {
    near(of('memory')?.bytesPerSecond, made.memoryBytesPerSecond, 0.05);
    near(of('sustained')?.bytesPerSecond, made.driveBytesPerSecond, 0.05);
  });

  it('has a dip just where there was one', () => {
    expect(parts.map(({ kind }) => kind)).toEqual(
      made.dipSeconds > 0 ? ['memory', 'dip', 'sustained'] : ['memory', 'sustained'],
    );
  });

  it('tells how much was held in memory, within 15 %', () => {
    near(heldBytes(parts) ?? Number.NaN, made.limitBytes, 0.15);
  });
});

describe('a steady copy', () => {
  it.each(seeds)('has no knee, seed %d', (seed) => {
    expect(splitTrace(makeSteady(seed)).map(({ kind }) => kind)).toEqual(['sustained']);
  });
});

describe('evenRates', () => {
  it('spreads bytes evenly between uneven points', () => {
    const points = [
      { seconds: 0, bytes: 0 },
      { seconds: 0.3, bytes: 30 },
      { seconds: 0.5, bytes: 90 },
    ];
    const rates = evenRates(points, 0.1).map(Math.round);
    expect(rates).toEqual([100, 100, 100, 300, 300]);
  });

  it.each([[[]], [[{ seconds: 1, bytes: 5 }]]])('has nothing of %j', (points) => {
    expect(evenRates(points, 0.1)).toEqual([]);
    expect(splitTrace(points)).toEqual([]);
  });
});
