import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type DueQuestion,
  due,
  type Now,
  type Situation,
} from '../../../src/agent/schedule/due.js';
import { standardJobs } from '../../../src/agent/schedule/jobs.js';
import { poweredMs } from '../../../src/agent/schedule/powered.js';
import type { JobRow } from '../../../src/agent/store/rows.js';

const minute = 60_000;
const hour = 60 * minute;
const day = 24 * hour;
const newYear = 1_767_225_600_000;

const quiet: Situation = { idle: true, arrayBusy: false, burnInRunning: false, drives: [] };

/** Boot 2, ten hours after it began; boot 1 lasted 100 hours. */
const later: Now = {
  boot: 2,
  bootMs: 10 * hour,
  wallMs: newYear + 10 * hour,
  wallTrusted: true,
  poweredMs: 110 * hour,
};

/** A run some time ago in boot 2, on the same clock. */
function ran(job: string, agoMs: number, outcome = 'done'): JobRow {
  return {
    job,
    lastBoot: 2,
    lastMonoMs: later.bootMs - agoMs,
    lastWallMs: later.wallMs - agoMs,
    lastPoweredMs: later.poweredMs - agoMs,
    outcome,
  };
}

/** A run in boot 1, this much powered-on and calendar time ago. */
function ranBefore(job: string, ago: { powered: number; wall: number }): JobRow {
  return {
    job,
    lastBoot: 1,
    lastMonoMs: 100 * hour,
    lastWallMs: later.wallMs - ago.wall,
    lastPoweredMs: later.poweredMs - ago.powered,
    outcome: 'done',
  };
}

function keys(question: Partial<DueQuestion>): readonly string[] {
  return due(standardJobs, {
    now: later,
    situation: quiet,
    history: [],
    trustedBoots: new Set([1, 2]),
    ...question,
  }).map(({ key }) => key);
}

const allRecent = [
  ran('surroundings', 1000),
  ran('temperatures', 1000),
  ran('judge', 500),
  ran('inventory', minute),
  ran('management', minute),
  ran('thin', minute),
];

function isDue(row: JobRow, question: Partial<DueQuestion> = {}): boolean {
  const others = allRecent.filter(({ job }) => job !== row.job);
  return keys({ history: [...others, row], ...question }).includes(row.job);
}

test('on the first look everything is due, most urgent first, one heavy job only', () => {
  const drives = ['B', 'A'];
  expect(keys({ situation: { ...quiet, drives } })).toEqual([
    'inventory',
    'surroundings',
    'management',
    'temperatures',
    'drive-health:B',
    'drive-health:A',
    'judge',
    'thin',
    'drive-rare-logs:B',
    'speed-drive:B',
  ]);
});

test('right after everything ran, nothing is due', () => {
  expect(keys({ history: allRecent })).toEqual([]);
});

test('what changed in the box makes its job due at once, and what follows it', () => {
  const situation = { ...quiet, dueNow: new Set(['surroundings']) };
  expect(keys({ history: allRecent, situation })).toEqual(['surroundings', 'judge']);
});

describe('by time within one boot', () => {
  test.each([
    ['surroundings', 5 * minute - 31_000, false],
    ['surroundings', 5 * minute - 30_000, true],
    ['thin', day - 31_000, false],
    ['inventory', 3 * hour, false],
  ] as const)('%s after %i ms: %s', (job, ago, expected) => {
    const now = { ...later, bootMs: 2 * day, poweredMs: 100 * hour + 2 * day };
    const row = { ...ran(job, 0), lastMonoMs: 2 * day - ago };
    expect(isDue(row, { now, history: [row, { ...ran('judge', 0), lastMonoMs: 2 * day }] })).toBe(
      expected,
    );
  });

  test('the calendar plays no part: it may step either way', () => {
    for (const step of [-5000 * day, -day, day, 5000 * day]) {
      const now = { ...later, wallMs: later.wallMs + step };
      expect(keys({ now, history: allRecent })).toEqual([]);
      expect(isDue(ran('surroundings', 5 * minute), { now })).toBe(true);
    }
  });
});

describe('over boots', () => {
  const health = (ago: { powered: number; wall: number }, question: Partial<DueQuestion> = {}) =>
    isDue(ranBefore('thin', ago), question);

  test('by the calendar where it is believed both times', () => {
    expect(health({ powered: hour, wall: 2 * day })).toBe(true);
    expect(health({ powered: hour, wall: 23 * hour })).toBe(false);
  });

  test('by powered-on time where it is not', () => {
    const untrusted = { ...later, wallTrusted: false };
    expect(health({ powered: hour, wall: 2 * day }, { now: untrusted })).toBe(false);
    expect(health({ powered: hour, wall: 2 * day }, { trustedBoots: new Set([2]) })).toBe(false);
    expect(health({ powered: 25 * hour, wall: 0 }, { now: untrusted })).toBe(true);
  });

  test('a run that lies in the future neither floods nor starves', () => {
    expect(health({ powered: hour, wall: -5000 * day })).toBe(false);
    expect(health({ powered: 25 * hour, wall: -5000 * day })).toBe(true);
  });

  test('the inventory is taken at each boot', () => {
    expect(isDue(ranBefore('inventory', { powered: minute, wall: minute }))).toBe(true);
    expect(isDue(ran('inventory', minute))).toBe(false);
  });
});

describe('a speed run', () => {
  const situation = { ...quiet, drives: ['A'] };
  const recent = [...allRecent, ran('drive-health:A', 1000), ran('drive-rare-logs:A', 1000)];
  const speed = (question: Partial<DueQuestion>) =>
    keys({ situation, history: recent, ...question }).includes('speed-drive:A');
  const dueAfter = (ago: { powered: number; wall: number }) =>
    speed({ history: [...recent, ranBefore('speed-drive:A', ago)] });

  test('is due after 30 days or 200 powered-on hours, whichever comes first', () => {
    expect(dueAfter({ powered: 10 * hour, wall: 29 * day })).toBe(false);
    expect(dueAfter({ powered: 10 * hour, wall: 30 * day })).toBe(true);
    const now = { ...later, poweredMs: 400 * hour };
    const row = (powered: number) => ({
      ...ranBefore('speed-drive:A', { powered: 0, wall: 9 * day }),
      lastPoweredMs: 400 * hour - powered,
    });
    expect(speed({ now, history: [...recent, row(199 * hour)] })).toBe(false);
    expect(speed({ now, history: [...recent, row(200 * hour)] })).toBe(true);
  });

  test.each([
    ['the box is not idle', { idle: false }],
    ['an array is degraded, rebuilding or being checked', { arrayBusy: true }],
    ['a burn-in runs', { burnInRunning: true }],
  ])('waits while %s, and gentle readings go on', (_name, more) => {
    expect(speed({ situation: { ...situation, ...more } })).toBe(false);
    expect(speed({})).toBe(true);
    const gentle = keys({ situation: { ...situation, ...more }, history: [] });
    expect(gentle).toEqual([
      'inventory',
      'surroundings',
      'management',
      'temperatures',
      'drive-health:A',
      'judge',
      'thin',
    ]);
  });

  test('is not due in the first minutes after boot, and at last when they are over', () => {
    const at = (bootMs: number) => speed({ now: { ...later, bootMs }, history: allRecent });
    expect(at(10 * minute - 1)).toBe(false);
    expect(at(20 * minute)).toBe(true);
  });

  test('of several drives the one that waited longest comes first, never-run before all', () => {
    const drives = ['A', 'B', 'C'];
    const health = drives.flatMap((name) => [
      ran(`drive-health:${name}`, 1000),
      ran(`drive-rare-logs:${name}`, 1000),
    ]);
    const history = [
      ...allRecent,
      ...health,
      ranBefore('speed-drive:A', { powered: hour, wall: 40 * day }),
      ranBefore('speed-drive:B', { powered: hour, wall: 60 * day }),
    ];
    const first = (rows: readonly JobRow[]) =>
      keys({ situation: { ...quiet, drives }, history: rows });
    expect(first(history)).toEqual(['speed-drive:C']);
    expect(first([...history, ran('speed-drive:C', minute)])).toEqual(['speed-drive:B']);
  });

  test('moments after boot are spread: they differ by drive and by boot, and repeat exactly', () => {
    const firstDue = (name: string, boot: number) => {
      const drives = [name];
      for (let bootMs = 0; ; bootMs += minute / 4) {
        const now = { ...later, boot, bootMs };
        const history = [ran('x', 0)];
        if (keys({ now, situation: { ...quiet, drives }, history }).includes(`speed-drive:${name}`))
          return bootMs;
      }
    };
    const moments = ['A', 'B', 'C', 'D'].flatMap((name) => [3, 4, 5].map((b) => firstDue(name, b)));
    expect(new Set(moments).size).toBeGreaterThan(6);
    expect(Math.min(...moments)).toBeGreaterThanOrEqual(10 * minute);
    expect(Math.max(...moments)).toBeLessThanOrEqual(20 * minute);
    expect(firstDue('A', 3)).toBe(moments[0]);
  });
});

describe('the pace', () => {
  const situation = { ...quiet, idle: false, drives: ['A'] };
  const asked = (job: string, ago: number) =>
    keys({
      situation,
      history: [...allRecent.filter((row) => row.job !== job), ran(job, ago)],
    }).includes(job);

  test('temperatures are read each five minutes', () => {
    expect(asked('temperatures', 4 * minute)).toBe(false);
    expect(asked('temperatures', 5 * minute)).toBe(true);
  });

  test('all counters of a drive are read each four hours', () => {
    expect(asked('drive-health:A', 239 * minute)).toBe(false);
    expect(asked('drive-health:A', 240 * minute)).toBe(true);
  });

  test('and for the first time ten minutes after each boot, within one more', () => {
    const first = (boot: number, bootMs: number) =>
      keys({
        now: { ...later, boot, bootMs },
        situation,
        history: [ranBefore('drive-health:A', { powered: minute, wall: minute })],
      }).includes('drive-health:A');
    for (const boot of [2, 3, 4, 5]) {
      expect(first(boot, 10 * minute - 1)).toBe(false);
      expect(first(boot, 11 * minute)).toBe(true);
    }
  });

  test('long logs once a boot, when the box is idle', () => {
    const rare = (row: JobRow, idle: boolean) =>
      keys({ situation: { ...situation, idle }, history: [...allRecent, row] }).includes(row.job);
    const before = ranBefore('drive-rare-logs:A', { powered: hour, wall: hour });
    expect(rare(before, true)).toBe(true);
    expect(rare(before, false)).toBe(false);
    expect(rare(ran('drive-rare-logs:A', 9 * hour), true)).toBe(false);
    expect(rare(ran('drive-rare-logs:A', hour, 'The drive sleeps'), true)).toBe(true);
  });
});

describe('judging', () => {
  test('follows a sampling that is due now', () => {
    const history = [...allRecent.slice(1), ran('surroundings', 5 * minute)];
    expect(keys({ history })).toEqual(['surroundings', 'judge']);
  });

  test('follows a sampling of one drive that ended since', () => {
    const situation = { ...quiet, drives: ['A'] };
    const history = [
      ...allRecent,
      ran('speed-drive:A', day),
      ran('drive-rare-logs:A', day),
      ran('drive-health:A', 400),
    ];
    expect(keys({ situation, history })).toEqual(['judge']);
    expect(keys({ situation, history: [...allRecent, ran('drive-health:A', 600)] })).not.toContain(
      'judge',
    );
  });

  test('never happens by time alone', () => {
    const now = { ...later, bootMs: later.bootMs + minute };
    expect(keys({ now, history: allRecent })).toEqual([]);
  });
});

test.each(['failed: no answer', 'put off: the drive was used'])(
  'a job that ended with "%s" is tried again after an hour, not after its whole period',
  (outcome) => {
    expect(isDue(ran('thin', 58 * minute, outcome))).toBe(false);
    expect(isDue(ran('thin', 60 * minute, outcome))).toBe(true);
    expect(isDue(ran('thin', 60 * minute))).toBe(false);
    expect(isDue(ran('surroundings', 5 * minute, outcome))).toBe(true);
  },
);

test('powered-on time is the length of earlier boots and the age of this one', () => {
  const boots = [
    { id: 1, lastMonoMs: 5 * hour },
    { id: 2, lastMonoMs: 2 * hour },
    { id: 3, lastMonoMs: 100 * hour },
  ];
  expect(poweredMs(boots, { boot: 3, bootMs: hour })).toBe(8 * hour);
  expect(poweredMs([], { boot: 1, bootMs: 7 })).toBe(7);
});

/** Lives through boots on a plain simulation of the box, carrying out at once what is due. */
function live(boots: readonly { onMs: number; offMs: number; wallStep?: number }[]) {
  const history = new Map<string, JobRow>();
  const trustedBoots = new Set<number>();
  const runs: { key: string; realMs: number; boot: number }[] = [];
  const situation = { ...quiet, drives: ['A'] };
  let [realMs, powered, wallOffset] = [0, 0, 0];
  for (const [index, { onMs, offMs, wallStep }] of boots.entries()) {
    const boot = index + 1;
    const wallTrusted = wallStep === undefined;
    if (wallTrusted) trustedBoots.add(boot);
    wallOffset = wallStep ?? 0;
    for (let bootMs = 0; bootMs < onMs; bootMs += minute) {
      const wallMs = newYear + realMs + bootMs + wallOffset;
      const now = { boot, bootMs, wallMs, wallTrusted, poweredMs: powered + bootMs };
      for (const { key } of due(standardJobs, {
        now,
        situation,
        history: [...history.values()],
        trustedBoots,
      })) {
        runs.push({ key, realMs: realMs + bootMs, boot });
        history.set(key, {
          job: key,
          lastBoot: boot,
          lastMonoMs: bootMs,
          lastWallMs: wallMs,
          lastPoweredMs: powered + bootMs,
          outcome: 'done',
        });
      }
    }
    realMs += onMs + offMs;
    powered += onMs;
  }
  return {
    runs: (key: string) => runs.filter((run) => run.key === key),
    heavyPerBoot: () =>
      boots.map(
        (_, index) =>
          runs.filter((run) => run.boot === index + 1 && run.key === 'speed-drive:A').length,
      ),
  };
}

describe('lives of boxes', () => {
  test('ten boots of 25 minutes a day for 40 days: daily work once a day, two speed runs', () => {
    const life = live(
      Array.from({ length: 400 }, () => ({ onMs: 25 * minute, offMs: 119 * minute })),
    );
    expect(life.runs('inventory')).toHaveLength(400);
    // 400 boots of 144 minutes are 40 days; a daily job at most slips by one boot each time.
    expect(life.runs('thin').length).toBeGreaterThanOrEqual(36);
    expect(life.runs('thin').length).toBeLessThanOrEqual(40);
    expect(life.runs('speed-drive:A')).toHaveLength(2);
    expect(life.runs('surroundings')).toHaveLength(400 * 5);
  });

  test('off for weeks: overdue work runs once after boot, the heavy part not at once', () => {
    const life = live([
      { onMs: 2 * hour, offMs: 60 * day },
      { onMs: 2 * hour, offMs: 0 },
    ]);
    expect(life.heavyPerBoot()).toEqual([1, 1]);
    const second = life.runs('speed-drive:A')[1];
    expect(second!.realMs - (2 * hour + 60 * day)).toBeGreaterThanOrEqual(10 * minute);
    expect(life.runs('thin').filter(({ boot }) => boot === 2)).toHaveLength(1);
  });

  test('a calendar in a far future or past at every boot: as often as without a calendar', () => {
    const boots = (step: (boot: number) => number) =>
      Array.from({ length: 100 }, (_, boot) => ({
        onMs: 5 * hour,
        offMs: hour,
        wallStep: step(boot),
      }));
    for (const step of [
      () => -20_000 * day,
      (boot: number) => (boot % 2 ? 5000 * day : -5000 * day),
    ]) {
      const life = live(boots(step));
      // 500 powered-on hours: at the start and after each 200.
      expect(life.runs('speed-drive:A')).toHaveLength(3);
      expect(life.runs('thin').length).toBeGreaterThanOrEqual(19);
      expect(life.runs('thin').length).toBeLessThanOrEqual(21);
    }
  });

  test('any mix of boots, gaps and steps: never a flood, never starved (seeded)', () => {
    const boot = fc.record(
      {
        onMs: fc.integer({ min: 1, max: 30 }).map((hours) => hours * hour),
        offMs: fc.integer({ min: 0, max: 40 }).map((days) => days * day),
        wallStep: fc.integer({ min: -9000, max: 9000 }).map((days) => days * day),
      },
      { requiredKeys: ['onMs', 'offMs'] },
    );
    const run = fc.property(fc.array(boot, { minLength: 1, maxLength: 12 }), (boots) => {
      const life = live(boots);
      const onHours = boots.reduce((sum, { onMs }) => sum + onMs / hour, 0);
      const days = boots.reduce((sum, { onMs, offMs }) => sum + (onMs + offMs) / day, 0);
      expect(life.runs('surroundings').length).toBeLessThanOrEqual(onHours * 12 + boots.length);
      expect(life.runs('surroundings').length).toBeGreaterThanOrEqual(Math.floor(onHours * 11));
      expect(life.runs('thin').length).toBeLessThanOrEqual(Math.ceil(days) + 1);
      expect(life.runs('thin').length).toBeGreaterThanOrEqual(Math.floor(onHours / 25));
      expect(life.runs('speed-drive:A').length).toBeLessThanOrEqual(
        1 + days / 30 + onHours / 200 + 1,
      );
      expect(life.runs('speed-drive:A').length).toBeGreaterThanOrEqual(1);
      expect(Math.max(...life.heavyPerBoot())).toBeLessThanOrEqual(1);
    });
    fc.assert(run, { seed: 20260104, numRuns: 25 });
  });
});

test('what something new in the box makes due runs at once, though not before its boot settled', () => {
  const history = ['inventory', 'surroundings', 'drive-health:TVN1', 'drive-health:TVN2'].map(
    (job) => ran(job, minute),
  );
  const drives = ['TVN1', 'TVN2'];
  const dueNow = new Set(['inventory', 'drive-health:TVN2']);
  const wanted = new Set(['inventory', 'surroundings', 'drive-health:TVN1', 'drive-health:TVN2']);
  const keysOf = (situation: Situation, now = later) =>
    keys({ now, situation, history }).filter((key) => wanted.has(key));
  expect(keysOf({ ...quiet, drives })).toEqual([]);
  expect(keysOf({ ...quiet, drives, dueNow })).toEqual(['inventory', 'drive-health:TVN2']);
  // A round over all counters waits until the box has come up, 10 minutes after boot.
  const early = { ...later, bootMs: 5 * minute };
  expect(keysOf({ ...quiet, drives, dueNow }, early)).toEqual(['inventory']);
});

test('a look at the box is followed by a judgement', () => {
  const often = standardJobs.filter(({ perDrive }) => !perDrive).map(({ name }) => name);
  const others = often.filter((name) => name !== 'inventory' && name !== 'judge');
  const before = others.map((name) => ran(name, 3 * minute));
  const keysAfter = (inventory: number, judge: number) =>
    keys({ history: [...before, ran('inventory', inventory), ran('judge', judge)] });
  expect(keysAfter(minute, 2 * minute)).toEqual(['judge']);
  expect(keysAfter(2 * minute, minute)).toEqual([]);
});
