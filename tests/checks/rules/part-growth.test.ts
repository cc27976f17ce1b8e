import { describe, expect, it } from 'vitest';
import type { Look } from '../../../src/checks/check.js';
import type { PartKind } from '../../../src/checks/part.js';
import { memoryErrors } from '../../../src/checks/rules/memory-errors.js';
import { pciErrors } from '../../../src/checks/rules/pci-errors.js';
import { sasLinkErrors } from '../../../src/checks/rules/sas-link-errors.js';
import { runningTotal } from '../../../src/checks/rules/since-boot.js';
import {
  brief,
  dayMs,
  hourMs,
  look,
  makeFinding,
  makeInput,
  series,
  startWallMs,
} from '../make-check-input.js';

const at = (...values: readonly number[]) => values.map((value, index) => look(value, 1 + index));
const kind = (of: PartKind) => ({ kind: of, subject: 'part-1' });

/** Looks of one boot each, that boot's number with its values. */
const boots = (...each: readonly (readonly [number, ...number[]])[]): readonly Look[] =>
  each.flatMap(([boot, ...values]) =>
    values.map((value, index) =>
      look(value, 1 + index, { boot, wallMs: startWallMs + boot * dayMs + index * hourMs }),
    ),
  );

describe('memory errors of a module', () => {
  const judge = (looks: readonly Look[], metric = 'memory-errors-corrected') =>
    memoryErrors.judge(makeInput({ ...kind('memory'), series: [series(metric, looks)] }));

  it.each([
    ['none', at(0, 0), 'met', 'for-the-record'],
    ['an old count that stands still', at(700, 700), 'met', 'for-the-record'],
    ['a first one, seen once', at(0, 1), 'short?', 'for-the-record'],
    ['a first one may be chance', at(0, 1, 1), 'short', 'for-the-record'],
    ['a second one', at(0, 2, 2), 'short', 'soon'],
  ] as const)('%s', (_name, looks, outcome, urgency) => {
    expect(brief(judge(looks))).toEqual([outcome]);
    expect(judge(looks)[0]?.urgency).toBe(urgency);
  });

  it('is for today beyond correction', () => {
    expect(judge(at(0, 1, 1), 'memory-errors-uncorrectable')).toMatchObject([
      { outcome: 'short', urgency: 'today', measured: 1, expected: 0 },
    ]);
  });

  it('cannot tell where nothing counts: that is no zero', () => {
    expect(memoryErrors.judge(makeInput({ ...kind('memory'), series: [] }))).toMatchObject([
      { outcome: 'unknown', why: expect.stringContaining('The kernel counts no errors of it') },
    ]);
  });

  it('counts on from where a person accounted for it', () => {
    const finding = makeFinding({
      code: 'memory-errors',
      subject: 'part-1',
      state: 'cleared',
      clearedBoot: 1,
      clearedWallMs: startWallMs + 3.5 * hourMs,
    });
    const judged = (looks: readonly Look[]) =>
      memoryErrors.judge(
        makeInput({
          ...kind('memory'),
          findings: [finding],
          series: [series('memory-errors-corrected', looks)],
        }),
      );
    expect(brief(judged(at(0, 9, 9, 9)))).toEqual(['met']);
    expect(judged(at(0, 9, 9, 11, 11))).toMatchObject([{ outcome: 'short', expected: 9 }]);
  });
});

describe('errors on a PCI link', () => {
  const judge = (metric: string, looks: readonly Look[], place = '') =>
    pciErrors.judge(
      makeInput({ ...kind('network-card'), series: [series(metric, looks, { place })] }),
    );

  it.each([
    ['ten corrected in a boot are left alone', at(0, 10, 10), 'met'],
    ['eleven are not', at(0, 11, 11), 'short'],
    ['what both ends counted while the link started does not count', at(5000, 5000), 'met'],
    ['each boot starts at zero', boots([1, 0, 4], [2, 0, 4], [3, 0, 2, 2]), 'met'],
    ['but growth adds up', boots([1, 0, 8], [2, 0, 8, 8]), 'short'],
  ])('%s', (_name, looks, outcome) => {
    expect(brief(judge('pci-errors-corrected', looks))).toEqual([outcome]);
  });

  it('is for today when one was not corrected, also at the port above', () => {
    for (const metric of ['pci-errors-fatal', 'pci-errors-not-fatal']) {
      expect(judge(metric, at(0, 1, 1), 'port above')).toMatchObject([
        { outcome: 'short', urgency: 'today', evidence: [{ label: /^port above: / }, {}] },
      ]);
    }
  });

  it('does not count the kinds beside their sum', () => {
    expect(brief(judge('pci-errors-corrected', at(0, 99, 99), 'bad packet'))).toEqual([]);
  });

  it('is silent where the kernel counts nothing', () => {
    expect(pciErrors.judge(makeInput(kind('network-card')))).toEqual([]);
  });
});

describe('errors of a phy', () => {
  const judge = (looks: readonly Look[]) =>
    sasLinkErrors.judge(
      makeInput({
        ...kind('disk-controller'),
        series: [series('sas-invalid-words', looks, { place: 'phy-3' })],
      }),
    );

  it.each([
    ['stand still', at(80, 80), 'met'],
    ['grew once, as when a drive is plugged', at(0, 80, 80, 80), 'met'],
    ['grew again', at(0, 80, 92, 92), 'short'],
    ['grew in each of two boots, a day apart', boots([1, 0, 80, 80], [2, 0, 80, 80]), 'short'],
    ['grew once, and once again after weeks', boots([1, 0, 80, 80], [30, 0, 80, 80]), 'met'],
  ])('%s', (_name, looks, outcome) => {
    expect(brief(judge(looks))).toEqual([outcome]);
  });

  it('names the phy', () => {
    expect(judge(at(0, 80, 92, 92))[0]?.evidence.map(({ label }) => label)).toEqual([
      'phy-3: SAS words not valid, first',
      'phy-3: SAS words not valid, now',
    ]);
  });
});

describe('a counter that starts anew', () => {
  it('goes on over boots and reloads of its driver', () => {
    const counted = boots([1, 4, 6, 1], [2, 100, 103]);
    const { looks } = runningTotal(series('pci-errors-corrected', counted));
    expect(looks.map(({ value }) => value)).toEqual([0, 2, 3, 3, 6]);
  });

  it('leaves looks without a number as they are', () => {
    const { looks } = runningTotal(series('pci-errors-fatal', [look(1, 1), look('asleep', 2)]));
    expect(looks.map(({ state }) => state)).toEqual(['measured', 'asleep']);
  });
});
