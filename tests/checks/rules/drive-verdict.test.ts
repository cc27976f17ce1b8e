import { describe, expect, it } from 'vitest';
import { driveSaysFailing, driveWarns, selfTest } from '../../../src/checks/rules/drive-verdict.js';
import { brief, look, makeInput, series } from '../make-check-input.js';

describe('the drive’s own verdict', () => {
  it.each([
    [0, 'met'],
    [1, 'short'],
    [Number.NaN, 'unknown'],
  ])('%d: %s, at once', (value, outcome) => {
    const input = makeInput({ series: [series('drive-verdict', [look(value, 1)])] });
    expect(brief(driveSaysFailing.judge(input))).toEqual([outcome]);
  });

  it('cannot tell when the record is not visible', () => {
    const input = makeInput({
      series: [series('drive-verdict', [look(0, 1), look('not-visible', 2)])],
    });
    expect(driveSaysFailing.judge(input)[0]?.why).toBe('The newest reading is "not visible"');
  });

  it('is told once by an NVMe drive, whose verdict is drawn from its warnings', () => {
    const input = makeInput({
      series: [series('drive-verdict', [look(1, 1)]), series('critical-warning', [look(4, 1)])],
    });
    expect(driveSaysFailing.judge(input)).toEqual([]);
    expect(brief(driveWarns.judge(input))).toEqual(['short']);
  });

  // NVMe 1.4 figure 93: bit 0 spare, 1 temperature, 2 reliability, 3 read only, 4 backup.
  it.each([
    [0, 'met', 'today'],
    [1, 'short', 'today'],
    [2, 'short', 'soon'],
    [6, 'short', 'today'],
  ])('warning %d: %s, %s', (value, outcome, urgency) => {
    const input = makeInput({ series: [series('critical-warning', [look(value, 1)])] });
    expect(driveWarns.judge(input)[0]).toMatchObject({ outcome, urgency });
  });
});

describe('the last self-test', () => {
  // ACS-4 self-test execution status: 0 passed, 1 and 2 stopped, 3 to 8 failed, 15 running.
  it.each([
    [0, 'met'],
    [1, 'unknown'],
    [2, 'unknown'],
    [3, 'short'],
    [7, 'short'],
    [8, 'short'],
    [9, 'unknown'],
    [15, 'unknown'],
  ])('ATA result %d: %s', (value, outcome) => {
    const input = makeInput({
      series: [series('self-test-result', [look(value, 1)], { source: 'self-test log 06h' })],
    });
    expect(brief(selfTest.judge(input))).toEqual([outcome]);
  });

  // NVMe 1.4 device self-test log: 1 to 4 and 8, 9 stopped, 5 to 7 failed.
  it.each([
    [0, 'met'],
    [4, 'unknown'],
    [5, 'short'],
    [7, 'short'],
    [8, 'unknown'],
  ])('NVMe result %d: %s', (value, outcome) => {
    const input = makeInput({
      series: [series('self-test-result', [look(value, 1)], { source: 'NVMe self-test log 06h' })],
    });
    expect(brief(selfTest.judge(input))).toEqual([outcome]);
  });
});
