import { describe, expect, it } from 'vitest';
import type { CheckInput, EventLook } from '../../../src/checks/check.js';
import type { EventKind } from '../../../src/checks/event.js';
import { judge } from '../../../src/checks/judge.js';
import { linkTrouble, placeUnreadable } from '../../../src/checks/rules/log-trouble.js';
import { wordFinding } from '../../../src/checks/wording.js';
import {
  brief,
  dayMs,
  hourMs,
  look,
  makeFinding,
  makeInput,
  minuteMs,
  series,
  startWallMs,
} from '../make-check-input.js';

/** An event so many minutes after the start of boot 1. */
function event(kind: EventKind, minutes: number, positionBytes: number | null = null): EventLook {
  const monoMs = minutes * minuteMs;
  const text = 'words';
  return { kind, boot: 1, monoMs, wallMs: startWallMs + monoMs, positionBytes, text };
}

const withEvents = (events: readonly EventLook[], change: Partial<CheckInput> = {}) =>
  makeInput({ events, ...change });
const later = (days: number) => ({ boot: 9, monoMs: hourMs, wallMs: startWallMs + days * dayMs });
const hours = series('power-on-hours', [look(1000, 0.1), look(1300, 1, { boot: 9 })]);

describe('a SAS or NVMe drive that is reset', () => {
  it('counts as trouble on the way, the third time in a week', () => {
    const resets = (minutes: readonly number[]) =>
      linkTrouble
        .judge(withEvents(minutes.map((at) => event('drive-reset', at))))
        .map(({ outcome, measured }) => [outcome, measured]);
    expect(resets([1, 30, 60])).toEqual([['short', 3]]);
    expect(resets([1, 30]).filter(([outcome]) => outcome === 'short')).toEqual([]);
  });
});

describe('a place that could not be read', () => {
  it('counts from the first one, with its position', () => {
    const [result] = placeUnreadable.judge(
      withEvents([event('medium-error', 9, 2_147_483_648), event('link-reset', 3)]),
    );
    expect(result).toMatchObject({ outcome: 'short', urgency: 'today', measured: 1, expected: 0 });
    expect(wordFinding(makeFinding({ ...result, nextStep: '' })).sentence).toBe(
      'The kernel’s log tells once of a place that could not be read or written, at 2.15 GB from its start.',
    );
  });

  it('is silent without one: that nothing was written is no proof', () => {
    expect(placeUnreadable.judge(withEvents([event('link-reset', 3)]))).toEqual([]);
    expect(placeUnreadable.judge(withEvents([event('medium-error', 9)], { kind: 'box' }))).toEqual(
      [],
    );
  });

  it('counts anew after a person accounted for it', () => {
    const finding = makeFinding({
      code: 'place-unreadable',
      state: 'cleared',
      clearedWhy: 'accounted-for',
      clearedBoot: 1,
      clearedWallMs: startWallMs + hourMs,
    });
    const judged = (minutes: number) =>
      brief(
        placeUnreadable.judge(
          withEvents([event('medium-error', minutes)], { findings: [finding] }),
        ),
      );
    expect(judged(59)).toEqual([]);
    expect(judged(61)).toEqual(['short']);
  });

  it('closes after 30 days and 200 powered hours, not before both', () => {
    const open = makeFinding({ code: 'place-unreadable', openedMonoMs: 9 * minuteMs });
    const judged = (days: number, all = [hours]) =>
      brief(
        placeUnreadable.judge(
          withEvents([event('medium-error', 9)], {
            findings: [open],
            now: later(days),
            series: all,
          }),
        ),
      );
    expect(judged(29)).toEqual(['short']);
    expect(judged(31)).toEqual(['met']);
    expect(judged(31, [])).toEqual([]);
  });
});

describe('trouble on the way to a drive', () => {
  const resets = (...minutes: readonly number[]) => minutes.map((one) => event('link-reset', one));
  const isShort = (events: readonly EventLook[]) => brief(linkTrouble.judge(withEvents(events)));

  it.each([
    ['twice in a week', resets(1, 60), []],
    ['three times in a week', resets(1, 60, 120), ['short']],
    ['three lines of one recovery', resets(1, 1.05, 1.1, 60), []],
    [
      'of three kinds',
      [event('command-overdue', 1), event('link-lost', 30), event('transfer-damaged', 60)],
      ['short'],
    ],
    ['of places, which is another matter', [1, 2, 3].map((one) => event('medium-error', one)), []],
  ])('%s', (_name, events, outcome) => {
    expect(isShort(events)).toEqual(outcome);
  });

  it('three times, but not within a week', () => {
    const events = [
      event('link-reset', 1),
      ...[8, 9].map((day) => event('link-reset', day * 1440)),
    ];
    const now = later(10);
    expect(linkTrouble.judge(withEvents(events, { now }))).toEqual([]);
  });

  it('says what happened and blames the path', () => {
    const [result] = linkTrouble.judge(
      withEvents([event('command-overdue', 1), event('link-reset', 30), event('link-reset', 60)]),
    );
    expect(wordFinding(makeFinding({ ...result, nextStep: '' })).sentence).toBe(
      'The kernel’s log tells of trouble on the way to this drive 3 times in a week: link reset, command overdue. Cable, plugs, power lead and port are meant first, not the drive’s surface.',
    );
  });
});

describe('several drives in trouble in the same second', () => {
  const at = { boot: 1, monoMs: 5 * hourMs, wallMs: startWallMs + 5 * hourMs };
  const fell = (subject: string, change: Partial<CheckInput>) =>
    linkTrouble.judge(
      withEvents([event('power-pattern', 30), event('link-lost', 30.01)], { subject, ...change }),
    );
  const opened = (...all: readonly ReturnType<typeof fell>[]) =>
    judge({ results: all.flat(), open: [], at }).map(
      ({ finding }) => `${finding.code} ${finding.subject} ${finding.measured}`,
    );
  const lead = (powerLead: string | null, controller: string) => ({ powerLead, controller });

  it('blame the power lead that they share', () => {
    expect(opened(fell('A', lead('left', 'card')), fell('B', lead('left', 'board')))).toEqual([
      'drives-dropped-together left 2',
    ]);
  });

  it('blame their controller when each has a lead of its own, or none is known', () => {
    for (const [a, b] of [
      ['left', 'right'],
      [null, null],
    ] as const) {
      expect(opened(fell('A', lead(a, 'card')), fell('B', lead(b, 'card')))).toEqual([
        'drives-dropped-together card 2',
      ]);
    }
  });

  it('blame the box where they share nothing that is known: its supply comes first', () => {
    expect(opened(fell('A', lead('left', 'card')), fell('B', lead('right', 'board')))).toEqual([
      'drives-dropped-together box 2',
    ]);
  });

  it('say nothing of a drive alone', () => {
    expect(opened(fell('A', lead('left', 'card')))).toEqual([]);
  });
});
