import { describe, expect, it } from 'vitest';
import { diskLink, pciLanes, pciSpeed } from '../../../src/checks/rules/link.js';
import { brief, hourMs, look, makeInput, series, steady } from '../make-check-input.js';

const at = (...values: readonly number[]) => values.map((value, index) => look(value, 1 + index));

describe('disk link', () => {
  function judge(values: readonly number[], possible: number | null = 6e9) {
    return diskLink.judge(
      makeInput({
        controller: 'board-sata',
        series: [
          series('sata-link-speed', at(...values)),
          ...(possible === null ? [] : [steady('sata-link-speed-possible', possible)]),
        ],
      }),
    );
  }

  it.each([
    ['full speed', [6e9, 6e9], 'met'],
    ['full speed, first look', [6e9], 'met?'],
    ['slower for one look', [6e9, 3e9], 'short?'],
    ['slower for two looks', [6e9, 3e9, 3e9], 'short'],
    ['back for one look', [3e9, 3e9, 6e9], 'met?'],
    ['no link', [0, 0], 'unknown'],
    ['not a number', [Number.NaN], 'unknown'],
  ])('%s', (_name, values, outcome) => {
    expect(brief(judge(values))).toEqual([outcome]);
  });

  it('is for the record at 3 Gb/s and soon at 1.5 Gb/s', () => {
    expect(judge([3e9, 3e9])[0]).toMatchObject({
      urgency: 'for-the-record',
      sharedPart: 'board-sata',
    });
    expect(judge([1.5e9, 1.5e9])[0]?.urgency).toBe('soon');
  });

  it('cannot tell when it is not known what both ends can do', () => {
    expect(judge([3e9, 3e9], null)[0]?.why).toMatch(/^What both ends can do is not known/);
  });

  it('takes one row that lasted as two looks', () => {
    const row = look(3e9, 1, { lastMonoMs: 2 * hourMs });
    const input = makeInput({
      series: [series('sata-link-speed', [row]), steady('sata-link-speed-possible', 6e9)],
    });
    expect(brief(diskLink.judge(input))).toEqual(['short']);
  });
});

describe('PCI link', () => {
  it.each([
    ['5 minutes', 300_000, 'short?'],
    ['10 minutes', 600_000, 'short'],
  ])('takes a slow row that lasted %s as the looks that fit in', (_name, heldMs, outcome) => {
    const row = look(2.5, 1, { lastMonoMs: hourMs + heldMs });
    const input = makeInput({
      kind: 'disk-controller',
      subject: 'disk-card',
      series: [series('pci-link-speed', [row]), steady('pci-link-speed-possible', 8)],
    });
    expect(brief(pciSpeed.judge(input))).toEqual([outcome]);
  });

  function judge(kind: 'speed' | 'lanes', values: readonly number[], possible: number) {
    const check = kind === 'speed' ? pciSpeed : pciLanes;
    return check.judge(
      makeInput({
        kind: 'disk-controller',
        subject: 'disk-card',
        series: [
          series(`pci-link-${kind}`, at(...values)),
          steady(`pci-link-${kind}-possible`, possible),
        ],
      }),
    );
  }

  it.each([
    ['all lanes', [8, 8], 'met'],
    ['one lane too few twice', [4, 4], 'short'],
    ['one lane too few once', [8, 4], 'short?'],
    ['more lanes than said', [16, 16], 'met'],
  ])('lanes: %s', (_name, values, outcome) => {
    expect(brief(judge('lanes', values, 8))).toEqual([outcome]);
  });

  it.each([
    ['full speed', [8], 'met'],
    ['at rest after full speed', [8, 2.5, 2.5], 'met'],
    ['slower in two looks', [2.5, 2.5], 'short?'],
    ['slower in three looks', [2.5, 2.5, 2.5], 'short'],
  ])('speed: %s', (_name, values, outcome) => {
    const results = judge('speed', values, 8);
    expect(brief(results).map((one) => one.replace('met?', 'met'))).toEqual([outcome]);
  });
});
