import { describe, expect, it } from 'vitest';
import type { SpeedLook } from '../../../src/checks/check.js';
import type { ExpectedSpeed } from '../../../src/checks/model/drive-speed.js';
import { driveSpeed } from '../../../src/checks/rules/drive-speed.js';
import { brief, makeFinding, makeInput, speed, steady } from '../make-check-input.js';

const expected = { low: 175e6, high: 215e6, source: 'class test', limitedBy: null };

function judge(
  speeds: readonly SpeedLook[],
  options: {
    expected?: ExpectedSpeed | null;
    open?: boolean;
    link?: readonly [number, number];
  } = {},
) {
  const { expected: expectation = { unknown: 'No class' }, open = false, link } = options;
  return driveSpeed.judge(
    makeInput({
      speeds,
      expectations: {
        capacityBytes: 8e12,
        speedAt: expectation === null ? null : () => expectation,
      },
      findings: open ? [makeFinding({ code: 'drive-slow' })] : [],
      series:
        link === undefined
          ? []
          : [steady('sata-link-speed', link[0]), steady('sata-link-speed-possible', link[1])],
    }),
  );
}

const runs = (...rates: readonly (number | null)[]) =>
  rates.map((rate, index) => speed(index + 1, rate === null ? null : rate * 1e6));

describe('drive speed against its own first run', () => {
  // 12 % below 200 MB/s is 176 MB/s.
  it.each([
    ['the same', runs(200, 200), 'met'],
    ['just above the limit twice', runs(200, 176, 176), 'met'],
    ['just below the limit once', runs(200, 175.9), 'short?'],
    ['just below the limit twice', runs(200, 175.9, 175.9), 'short'],
    ['below, then as before', runs(200, 150, 199), 'met'],
    ['below, as before, below', runs(200, 150, 199, 150), 'short?'],
    ['faster', runs(200, 260), 'met'],
    ['one run and nothing to compare with', runs(200), 'unknown'],
    ['no speed', runs(200, null), 'unknown'],
    ['not a number', runs(200, Number.NaN), 'unknown'],
    ['zero', runs(200, 0), 'unknown'],
  ])('%s', (_name, speeds, outcome) => {
    expect(brief(judge(speeds))).toEqual([outcome]);
  });

  it('does not compare runs with other load or incomplete ones', () => {
    const busy = { temperature: null, otherLoad: 0.06, linkSpeed: null, lanes: null };
    const unknownLoad = { ...busy, otherLoad: null };
    const start = runs(200);
    expect(judge([...start, speed(2, 90e6, { conditions: busy })])[0]?.why).toBe(
      'Others used the drive during the run',
    );
    expect(judge([...start, speed(2, 90e6, { conditions: unknownLoad })])[0]?.why).toMatch(
      /not known/,
    );
    const cut = speed(2, 90e6, { complete: false, reason: 'stopped' });
    expect(judge([...start, cut])[0]?.why).toBe('The run is not complete: stopped');
    const edge = { ...busy, otherLoad: 0.05 };
    expect(brief(judge([...start, speed(2, 200e6, { conditions: edge })]))).toEqual(['met']);
  });

  it('does not take a run with other load as the run before', () => {
    const busy = { temperature: null, otherLoad: 0.5, linkSpeed: null, lanes: null };
    const speeds = [...runs(200, 150), speed(3, 90e6, { conditions: busy }), speed(4, 150e6)];
    expect(brief(judge(speeds))).toEqual(['short?']);
  });

  it('compares like places only', () => {
    const inner = (run: number, rate: number) => speed(run, rate * 1e6, { place: 7e12 });
    const speeds = [...runs(200, 200, 200), inner(1, 100), inner(2, 80), inner(3, 80)];
    const [result] = judge(speeds);
    expect(result).toMatchObject({ outcome: 'short', measured: 80e6, expected: 88e6 });
    expect(result?.evidence.map(({ label }) => label)).toEqual([
      'At 7 TB, first run',
      'At 7 TB, newest run',
    ]);
  });

  it('clears only after two runs within 10 %', () => {
    expect(brief(judge(runs(200, 150, 150, 185), { open: true }))).toEqual(['met?']);
    expect(brief(judge(runs(200, 150, 150, 185, 185), { open: true }))).toEqual(['met']);
    expect(brief(judge(runs(200, 150, 179, 179), { open: true }))).toEqual(['short']);
  });

  it('leaves writing, several streams and other paths alone', () => {
    const others = [
      speed(1, 200e6),
      speed(2, 90e6, { direction: 'write' }),
      speed(3, 90e6, { streams: 4 }),
      speed(4, 90e6, { path: 'array:recordings' }),
    ];
    expect(brief(judge(others))).toEqual(['unknown']);
  });
});

describe('drive speed against what is expected of it', () => {
  it.each([
    ['just below, one run', runs(174.9), 'short?'],
    ['just below, two runs', runs(174.9, 174.9), 'short'],
    ['just at the lower end', runs(175), 'met'],
  ])('%s', (_name, speeds, outcome) => {
    const results = judge(speeds, { expected });
    expect(brief(results)).toEqual([outcome]);
    expect(results[0]).toMatchObject({ expected: 175e6, source: 'class test' });
  });

  it('asks for the higher of expectation and first run', () => {
    expect(judge(runs(210, 180, 180), { expected })[0]).toMatchObject({
      outcome: 'short',
      expected: 184.8e6,
      source: 'the first complete run here',
    });
  });

  it('cannot tell when the link alone explains the speed', () => {
    // A link at 1.5 Gb/s carries 150 MB/s (8b/10b), of which 133 to 140 reach a person.
    const slow = runs(130, 130);
    expect(judge(slow, { expected, link: [1.5e9, 6e9] })[0]).toMatchObject({
      outcome: 'unknown',
      why: 'The disk link at 1.5 Gb/s holds the drive back, so its own speed cannot be told',
    });
    expect(brief(judge(slow, { expected, link: [6e9, 6e9] }))).toEqual(['short']);
    expect(brief(judge(runs(60, 60), { expected, link: [1.5e9, 6e9] }))).toEqual(['short']);
  });

  it('cannot tell without a model and without an earlier run', () => {
    expect(judge(runs(200), { expected: null })[0]?.why).toBe(
      'There is neither an expected speed nor an earlier run',
    );
  });

  it('says nothing before the first run', () => {
    expect(judge([])).toEqual([]);
  });
});
