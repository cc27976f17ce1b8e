import { describe, expect, test } from 'vitest';
import type { KeptOfArray, LookNow } from '../../../src/agent/probes/array-check-seen.js';
import { withArrayMemory } from '../../../src/agent/probes/array-memory.js';
import { measured, type Reading } from '../../../src/checks/reading.js';

interface Figures {
  /** Codes of `array-work`: 0 nothing, 2 rebuilding, 4 comparing. */
  readonly work: number;
  readonly done?: number;
  readonly secondsLeft?: number;
  readonly missing?: number;
  readonly mismatches?: number;
  /** Codes of `array-member-state` by member. */
  readonly members?: Readonly<Record<string, number>>;
  readonly protection?: number;
}

function reading(metric: string, value: number, place?: string): Reading {
  const figure = { metric, unit: 'count', source: 'test' } as const;
  return measured(place === undefined ? figure : { ...figure, place }, value);
}

function readingsOf(figures: Figures): readonly Reading[] {
  const { work, done, secondsLeft, missing = 0, mismatches = 0, members = {} } = figures;
  return [
    reading('array-protection', figures.protection ?? 1),
    reading('array-members-missing', missing),
    reading('array-work', work),
    ...(done === undefined ? [] : [reading('array-work-done', done)]),
    ...(secondsLeft === undefined ? [] : [reading('array-work-left', secondsLeft)]),
    reading('array-mismatches', mismatches),
    ...Object.entries(members).map(([name, code]) => reading('array-member-state', code, name)),
  ];
}

/** 2026-03-01 00:00 UTC, and one minute in milliseconds. */
const start = Date.UTC(2026, 2, 1);
const minute = 60_000;

/** Keeps what each look gives, as the store does: the newest row of each series. */
class Life {
  readonly #kept = new Map<string, KeptOfArray>();
  #bootStart = 0;
  #boot = 1;

  newBoot(atMinute: number): void {
    this.#boot += 1;
    this.#bootStart = atMinute;
  }

  look(atMinute: number, figures: Figures): readonly Reading[] {
    const now: LookNow = {
      boot: this.#boot,
      monoMs: (atMinute - this.#bootStart) * minute,
      wallMs: start + atMinute * minute,
    };
    const readings = withArrayMemory(readingsOf(figures), [...this.#kept.values()], now);
    for (const { metric, place = '', value, text, why } of readings) {
      const row = { metric, place, value, text: text ?? why ?? '', boot: now.boot };
      this.#kept.set(`${metric} ${place}`, { ...row, lastMonoMs: now.monoMs });
    }
    return readings;
  }
}

function textOf(readings: readonly Reading[], metric: string): string | undefined {
  const found = readings.find((one) => one.metric === metric);
  return found?.text ?? found?.why;
}

const notKnown =
  'Not known before 2026-03-01 00:00 UTC: the kernel keeps no date of checks, and none was seen from its start to its end since';

describe('a check of the copies', () => {
  test('that was seen from its start to its end is known by its date', () => {
    const life = new Life();
    expect(textOf(life.look(0, { work: 0 }), 'array-last-check')).toBe(notKnown);
    const first = life.look(5, { work: 4, done: 0.5, secondsLeft: 11_940 });
    expect(textOf(first, 'array-check-began')).toBe('2026-03-01 00:05 UTC');
    expect(textOf(first, 'array-last-check')).toBe(notKnown);
    for (let at = 10; at < 200; at += 5) {
      life.look(at, { work: 4, done: at / 2, secondsLeft: (200 - at) * 60 });
    }
    const ended = life.look(200, { work: 0, mismatches: 128 });
    expect(ended.find(({ metric }) => metric === 'array-last-check')?.value).toBe(
      (start + 200 * minute) / 1000,
    );
    const words =
      'whole check seen to end 2026-03-01 03:20 UTC after 3 h 15 min, copies disagreed in up to 128 sectors';
    expect(textOf(ended, 'array-last-check')).toBe(words);
    life.newBoot(2000);
    expect(textOf(life.look(2005, { work: 0 }), 'array-last-check')).toBe(words);
  });

  test.each<readonly [string, (life: Life) => readonly Reading[]]>([
    [
      'was under way when the agent began to look',
      (life) => {
        life.look(0, { work: 4, done: 1, secondsLeft: 60 });
        return life.look(1, { work: 0 });
      },
    ],
    [
      'was resumed in the middle',
      (life) => {
        life.look(0, { work: 0 });
        life.look(5, { work: 4, done: 50, secondsLeft: 3600 });
        life.look(60, { work: 4, done: 99, secondsLeft: 60 });
        return life.look(61, { work: 0 });
      },
    ],
    [
      'was stopped half way',
      (life) => {
        life.look(0, { work: 0 });
        life.look(5, { work: 4, done: 1, secondsLeft: 7000 });
        life.look(10, { work: 4, done: 5, secondsLeft: 6700 });
        return life.look(15, { work: 0 });
      },
    ],
    [
      'ended with the power',
      (life) => {
        life.look(0, { work: 0 });
        life.look(5, { work: 4, done: 1, secondsLeft: 300 });
        life.newBoot(10);
        return life.look(11, { work: 0 });
      },
    ],
    [
      'ended while nobody looked',
      (life) => {
        life.look(0, { work: 0 });
        life.look(5, { work: 4, done: 1, secondsLeft: 300 });
        return life.look(21, { work: 0 });
      },
    ],
  ])('that %s does not count', (_name, live) => {
    expect(textOf(live(new Life()), 'array-last-check')).toBe(notKnown);
  });

  test('that began anew counts from its second beginning', () => {
    const life = new Life();
    life.look(0, { work: 0 });
    life.look(5, { work: 4, done: 40, secondsLeft: 300 });
    const again = life.look(10, { work: 4, done: 0.5, secondsLeft: 300 });
    expect(textOf(again, 'array-check-began')).toBe('2026-03-01 00:10 UTC');
  });

  test('does not exist where no second copy is kept', () => {
    const none = new Life().look(0, { work: 0, protection: 0 });
    expect(textOf(none, 'array-last-check')).toBe('It keeps no second copy that could be compared');
  });
});

test('figures of work end with the work', () => {
  const life = new Life();
  life.look(0, { work: 2, done: 97, secondsLeft: 60 });
  const after = life.look(1, { work: 0 });
  expect(
    after.flatMap(({ metric, value }) =>
      metric.startsWith('array-work-') ? [[metric, value]] : [],
    ),
  ).toEqual([
    ['array-work-done', null],
    ['array-work-left', null],
  ]);
});

describe('a member that the array lists no more', () => {
  const states = (readings: readonly Reading[]) =>
    readings.flatMap(({ metric, place, value }) =>
      metric === 'array-member-state' ? [[place, value]] : [],
    );

  test('is missing while the array is degraded, and has left when its place is filled', () => {
    const life = new Life();
    life.look(0, { work: 0, members: { TVN4410A: 0, TVN4410B: 0 } });
    expect(states(life.look(1, { work: 0, missing: 1, members: { TVN4410A: 0 } }))).toEqual([
      ['TVN4410A', 0],
      ['TVN4410B', 3],
    ]);
    const rebuilding = { work: 2, missing: 1, members: { TVN4410A: 0, TVN4410C: 1 } };
    expect(states(life.look(2, rebuilding))).toEqual([
      ['TVN4410A', 0],
      ['TVN4410C', 1],
      ['TVN4410B', 3],
    ]);
    const whole = { work: 0, members: { TVN4410A: 0, TVN4410C: 0 } };
    expect(states(life.look(3, whole))).toContainEqual(['TVN4410B', 5]);
    expect(states(life.look(4, whole))).toEqual([
      ['TVN4410A', 0],
      ['TVN4410C', 0],
    ]);
  });

  test('keeps its serial when its drive vanished and only its place is told', () => {
    const life = new Life();
    life.look(0, { work: 0, members: { TVN4410A: 0, TVN4410B: 0 } });
    const gone = { work: 0, missing: 1, members: { TVN4410A: 0, 'member 1': 2 } };
    for (const at of [1, 2]) {
      expect(states(life.look(at, gone))).toEqual([
        ['TVN4410A', 0],
        ['TVN4410B', 2],
      ]);
    }
  });

  test('was a spare: then nothing is missing of it', () => {
    const life = new Life();
    life.look(0, { work: 0, members: { TVN4410A: 0, TVN4410B: 0, TVN4410C: 4 } });
    const degraded = { work: 0, missing: 1, members: { TVN4410A: 0, TVN4410B: 2 } };
    expect(states(life.look(1, degraded))).toContainEqual(['TVN4410C', 5]);
  });
});

test('a pool keeps its readings as they are', () => {
  const readings = [reading('array-state', 0)];
  expect(withArrayMemory(readings, [], { boot: 1, monoMs: 0, wallMs: start })).toEqual(readings);
});
