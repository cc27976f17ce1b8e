import { runInThisContext } from 'node:vm';
import { expect, test } from 'vitest';
import { withMarks } from './ways.js';

/** A decision of each kind; "’" is more than one byte long. */
const script = `
(number, list, { more = 1 } = {}) => {
  const words = 'the drive’s own';
  if (number > 3) return words;
  if (number > 1) { list.push(1); } else { list.push(2); }
  const one = number === 0 ? 'none' : 'some';
  const two = number === 0 && list.length > 5 && one;
  const three = null ?? one;
  for (const entry of list) {
    switch (entry) {
      case 1:
      case 2:
        list = [];
        break;
      default:
        list = [1];
    }
  }
  try {
    if (number === 9 || more === 4) throw new Error('never');
  } catch {
    return null;
  }
  return [two, three, list?.length, list.nothing?.(), (() => more > 0 ? 1 : 2)];
}
`;

test('each way out of a decision is marked when it is taken, and only then', () => {
  const marks = new Uint8Array(100);
  const open = () => marks;
  Object.defineProperty(globalThis, 'baywardMarks', { value: { open }, configurable: true });
  const { code, ways } = withMarks(script, 'here');
  const work: (number: number, list: number[]) => unknown = runInThisContext(code);
  const answers = [0, 0, 4].map((number) => work(number, []));
  expect(answers.map((answer) => JSON.stringify(answer))).toEqual([
    '[false,"none",0,null,null]',
    '[false,"none",0,null,null]',
    '"the drive’s own"',
  ]);
  const found = ways.map(({ line, what }, index) => [line, what, marks[index]]);
  expect(found.sort(([one], [other]) => Number(one) - Number(other))).toEqual([
    [2, 'default value', 1],
    [2, 'default value', 1],
    [4, 'yes', 1],
    [4, 'no', 1],
    [5, 'yes', 0],
    [5, 'no', 1],
    [6, 'yes', 1],
    [6, 'no', 0],
    [7, 'right of &&', 0],
    [7, 'passes over &&', 1],
    [7, 'right of &&', 1],
    [7, 'passes over &&', 0],
    [8, 'passes over ??', 0],
    [8, 'right of ??', 1],
    [9, 'loop body', 1],
    [12, 'case', 1],
    [15, 'case', 0],
    [20, 'yes', 0],
    [20, 'no', 1],
    [20, 'passes over ||', 0],
    [20, 'right of ||', 1],
    [21, 'catch', 0],
    [24, 'something for ?.', 1],
    [24, 'nothing for ?.', 0],
    [24, 'yes', 0],
    [24, 'no', 0],
  ]);
});
