import { describe, expect, it } from 'vitest';
import { checkPart } from '../../src/checks/catalogue.js';
import type { CheckInput, EventLook } from '../../src/checks/check.js';
import type { EventKind } from '../../src/checks/event.js';
import { judge } from '../../src/checks/judge.js';
import { surfaceGrowth } from '../../src/checks/rules/damage-growth.js';
import { driveMissing, isTakenOut } from '../../src/checks/rules/drive-missing.js';
import {
  brief,
  hourMs,
  look,
  makeFinding,
  makeInput,
  makeResult,
  minuteMs,
  series,
  startWallMs,
} from './make-check-input.js';

const moment = (boot: number, hours: number) => ({
  boot,
  monoMs: hours * hourMs,
  wallMs: startWallMs + (boot - 1) * 24 * hourMs + hours * hourMs,
});

function gone(hours: number, change: Partial<CheckInput> = {}): CheckInput {
  return makeInput({
    inModel: true,
    gone: moment(1, hours),
    lastSeen: moment(1, hours - 0.1),
    now: moment(1, 5),
    ...change,
  });
}

describe('a drive that is not found', () => {
  it.each([
    ['for an hour', gone(4), 'short'],
    ['for a minute less', gone(4 + 1 / 60), 'short?'],
    [
      'since the boot before, ten minutes after the start',
      gone(4, { now: moment(2, 1 / 6) }),
      'short',
    ],
    [
      'since the start, of which ten minutes passed',
      gone(4, { gone: moment(2, 0.01), now: moment(2, 1 / 6) }),
      'short',
    ],
    ['since the boot before, just started', gone(4, { now: moment(2, 0.1) }), 'short?'],
    ['no: it is there', gone(4, { gone: null }), 'met'],
  ])('%s', (_name, input, outcome) => {
    expect(brief(driveMissing.judge(input))).toEqual([outcome]);
  });

  it.each([
    ['on USB', { details: { reachedBy: 'usb' } }],
    ['virtual', { details: { reachedBy: 'virtual' } }],
    ['of doubtful identity', { details: { duplicateIdentity: true } }],
    ['that nobody counts on', { inModel: false }],
    ['no drive', { kind: 'memory' }],
  ] as const)('is silent on one %s', (_name, change) => {
    expect(driveMissing.judge(gone(1, change))).toEqual([]);
  });

  it('is no missing drive while another one tells its name, and one again afterwards', () => {
    const event = (kind: EventKind, hours: number): EventLook => ({
      kind,
      text: 'words',
      positionBytes: null,
      ...moment(1, hours),
    });
    const shared = event('identity-shared', 1);
    expect(driveMissing.judge(gone(1, { events: [shared] }))).toEqual([]);
    const events = [
      event('link-reset', 3),
      event('part-missing', 2),
      event('part-back', 1.5),
      shared,
    ];
    expect(brief(driveMissing.judge(gone(2, { events })))).toEqual(['short']);
  });

  it('is for today when an array has it', () => {
    expect(driveMissing.judge(gone(1))[0]?.urgency).toBe('soon');
    expect(driveMissing.judge(gone(1, { arrays: ['recordings'] }))[0]?.urgency).toBe('today');
  });

  it('stays closed once a person accounted for it, until it goes again', () => {
    const finding = makeFinding({
      code: 'drive-missing',
      state: 'cleared',
      clearedWhy: 'accounted-for',
      clearedBoot: 1,
      clearedWallMs: moment(1, 4.5).wallMs,
    });
    expect(driveMissing.judge(gone(4, { findings: [finding] }))).toEqual([]);
    const again = gone(4.75, { findings: [finding], now: moment(1, 6) });
    expect(brief(driveMissing.judge(again))).toEqual(['short']);
  });

  it('is judged by nothing else: what it last showed is no state of it now', () => {
    const worn = series('reallocated-sectors', [look(0, 1), look(9, 2), look(9, 3)]);
    expect(checkPart(gone(4, { series: [worn] })).map(({ code }) => code)).toEqual([
      'drive-missing',
    ]);
  });
});

describe('findings of a drive that was taken out', () => {
  const worn = makeFinding({ id: 7, code: 'surface-damage-grew' });
  const at = moment(1, 5);
  const changesFor = (input: CheckInput) =>
    judge({
      results: checkPart(input),
      open: [worn],
      at,
      takenOut: new Set(isTakenOut(input) ? [input.subject] : []),
    }).map(({ kind, finding }) => `${kind} ${finding.code} ${finding.clearedWhy}`);

  it('stay open while it may only have fallen off for a moment', () => {
    expect(changesFor(gone(4.9))).toEqual([]);
  });

  it('close as taken out, and that it is missing is told instead', () => {
    expect(changesFor(gone(4))).toEqual([
      'clear surface-damage-grew taken-out',
      'open drive-missing null',
    ]);
  });

  it('close without another finding where nobody counts on the drive', () => {
    expect(changesFor(gone(4, { inModel: false }))).toEqual([
      'clear surface-damage-grew taken-out',
    ]);
  });

  it('open again when it returns with the fault: taking it out accounts for nothing', () => {
    const ended = { state: 'cleared', clearedBoot: 1, clearedWallMs: moment(1, 4).wallMs } as const;
    const grown = series('reallocated-sectors', [look(0, 1), look(9, 2), look(9, 4.5)]);
    const back = (clearedWhy: 'taken-out' | 'told-elsewhere' | 'accounted-for') =>
      brief(
        surfaceGrowth.judge(
          makeInput({ series: [grown], findings: [{ ...worn, ...ended, clearedWhy }] }),
        ),
      );
    expect(back('taken-out')).toEqual(['short']);
    expect(back('told-elsewhere')).toEqual(['short']);
    expect(back('accounted-for')).toEqual(['met']);
  });
});

describe('a drive that returns with its fault', () => {
  it.each([
    ['taken-out', true, true],
    ['taken-out', false, false],
    ['as-expected', true, false],
  ] as const)('%s, seen before: %s', (clearedWhy, acknowledged, seen) => {
    const growth = makeResult({ code: 'surface-damage-grew' });
    const before = makeFinding({ code: growth.code, state: 'cleared', clearedWhy, acknowledged });
    const [change] = judge({ results: [growth], open: [], past: [before], at: moment(1, 5) });
    expect(change?.finding.acknowledged).toBe(seen);
    expect(change?.finding.accountedFor).toBe(false);
  });
});

describe('one finding for one cause', () => {
  const missing = (subject: string, change = {}) =>
    makeResult({
      code: 'drive-missing',
      subject,
      unit: 'count',
      sharedPart: 'lead-right',
      otherSharedParts: ['disk-card'],
      evidence: [{ label: 'Not found from then on', value: 0, unit: 'count', ...moment(1, 4) }],
      ...change,
    });
  const opened = (results: readonly ReturnType<typeof missing>[]) =>
    judge({ results, open: [], at: moment(1, 5) }).map(
      ({ kind, finding }) => `${kind} ${finding.code} ${finding.subject}`,
    );

  it('blames the power lead that two missing drives share', () => {
    expect(opened([missing('A'), missing('B')])).toEqual([
      'open drives-dropped-together lead-right',
    ]);
  });

  it('blames their controller when each hangs on a lead of its own', () => {
    expect(opened([missing('A'), missing('B', { sharedPart: 'lead-left' })])).toEqual([
      'open drives-dropped-together disk-card',
    ]);
  });

  it('tells one by one what has nothing in common', () => {
    const other = { sharedPart: 'lead-left', otherSharedParts: ['board-sata'] };
    expect(opened([missing('A'), missing('B', other)])).toEqual([
      'open drive-missing A',
      'open drive-missing B',
    ]);
  });

  it('leaves it to the array to tell which member is missing', () => {
    const array = makeResult({ code: 'array-degraded', subject: 'md0', tellsOf: ['A'] });
    expect(opened([missing('A'), array])).toEqual(['open array-degraded md0']);
    const already = makeFinding({ code: 'drive-missing', subject: 'A' });
    const [change] = judge({ results: [missing('A'), array], open: [already], at: moment(1, 5) });
    expect(change?.finding).toMatchObject({ code: 'drive-missing', clearedWhy: 'told-elsewhere' });
  });

  it('blames the lead when two drives of it lost power', () => {
    const parked = (subject: string, minutes: number) =>
      makeResult({
        code: 'power-was-lost',
        subject,
        sharedPart: 'lead-right',
        evidence: [
          {
            label: 'now',
            value: 4,
            unit: 'count',
            boot: 1,
            monoMs: 4 * hourMs + minutes * minuteMs,
          },
        ],
      });
    expect(opened([parked('A', 0), parked('B', 3)])).toEqual([
      'open drives-dropped-together lead-right',
    ]);
    expect(opened([parked('A', 0)])).toEqual(['open power-was-lost A']);
  });
});
