import { describe, expect, it } from 'vitest';
import { readTrace } from '../../../src/checks/trace/read-trace.js';
import { splitTrace } from '../../../src/checks/trace/split-trace.js';
import { traceLines } from '../../../src/checks/trace/trace-lines.js';
import { UserError } from '../../../src/checks/user-error.js';

function errorOf(text: string): string {
  try {
    readTrace(text, 'copy.csv');
  } catch (error) {
    if (error instanceof UserError) return error.message;
    throw error;
  }
  return '';
}

describe('readTrace', () => {
  it('reads totals from the first line on', () => {
    expect(readTrace('seconds,bytes\n5,100\n5.5,300\r\n6,700\n', 'copy.csv')).toEqual({
      points: [
        { seconds: 0, bytes: 0 },
        { seconds: 0.5, bytes: 200 },
        { seconds: 1, bytes: 600 },
      ],
      assumed: [],
    });
  });

  it('adds up amounts that fall, and says so', () => {
    const { points, assumed } = readTrace('seconds,bytes\n0,0\n1,500\n2,100\n', 'copy.csv');
    expect(points.map(({ bytes }) => bytes)).toEqual([0, 500, 600]);
    expect(assumed).toHaveLength(1);
  });

  it.each([
    ['', 'copy.csv: Line 1: expected the words seconds,bytes, found ""'],
    ['time,size\n1,2\n', 'copy.csv: Line 1: expected the words seconds,bytes, found "time,size"'],
    [
      'seconds,bytes\n0,0\n1;5\n',
      'copy.csv: Line 3: expected a number of seconds and one of bytes, found "1;5"',
    ],
    [
      'seconds,bytes\n0,0\n1,-5\n',
      'copy.csv: Line 3: expected a number of seconds and one of bytes, found "1,-5"',
    ],
    ['seconds,bytes\n0,0\n0,5\n', 'copy.csv: Line 3: expected seconds after 0, found "0"'],
    ['seconds,bytes\n0,0\n', 'copy.csv: Line 2: expected at least two moments, found "1"'],
  ])('says what is wrong with %j', (text, expected) => {
    expect(errorOf(text)).toBe(expected);
  });
});

describe('traceLines', () => {
  const lines = (speeds: readonly (readonly [number, number])[]) => {
    const points = [{ seconds: 0, bytes: 0 }];
    for (const [seconds, speed] of speeds) {
      for (let step = 0; step < seconds * 10; step += 1) {
        const last = points.at(-1) ?? { seconds: 0, bytes: 0 };
        points.push({ seconds: last.seconds + 0.1, bytes: last.bytes + speed / 10 });
      }
    }
    return traceLines(splitTrace(points));
  };

  // 8 s at 1 GB/s of which 200 MB/s were carried off: 6.4 GB held.
  it('tell the memory part, the dip, what is kept up, and what was held', () => {
    const told = lines([
      [8, 1e9],
      [5, 50e6],
      [30, 200e6],
    ]);
    expect(told[0]).toBe('0 to 8 s: 1 GB/s, 8 GB: into memory or another fast store on the way');
    expect(told[1]).toBe('8 to 13 s: 50 MB/s, 250 MB: the dip, while what was held is carried off');
    expect(told[2]).toBe('13 to 43 s: 200 MB/s, 6 GB: kept up');
    expect(told[3]).toMatch(/^About 6\.4 GB had been taken in/);
  });

  it('tell one speed, and too little', () => {
    expect(lines([[20, 117e6]]).at(-1)).toBe('One speed from beginning to end: no knee');
    expect(lines([[1, 117e6]])).toEqual(['Too short to tell: less than two seconds were recorded']);
  });
});
