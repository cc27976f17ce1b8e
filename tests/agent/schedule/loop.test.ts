import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Situation } from '../../../src/agent/schedule/due.js';
import type { JobName } from '../../../src/agent/schedule/jobs.js';
import {
  atNextTick,
  type JobWork,
  type LoopOptions,
  runLoop,
} from '../../../src/agent/schedule/loop.js';
import {
  at,
  driveA,
  hour,
  newYear,
  type TemporaryStore,
  temporaryStore,
} from '../store/temporary-store.js';

const minute = 60_000;

let room: TemporaryStore;
let boot: number;
let calls: string[];
let problems: string[];
let tick: () => Promise<void>;
let ticking: boolean;

beforeEach(() => {
  room = temporaryStore();
  room.clock.mono = 10 * hour;
  room.clock.wall = newYear + 10 * hour;
  boot = room.store.beginBoot('boot-1', newYear);
  room.store.keepPart(driveA, at(boot, 10 * hour));
  calls = [];
  problems = [];
  ticking = false;
});

afterEach(() => room.remove());

const situation: Situation = {
  idle: true,
  arrayBusy: false,
  burnInRunning: false,
  drives: ['A', 'B'],
};

function start(work: Partial<Record<JobName, JobWork>> = {}, more: Partial<LoopOptions> = {}) {
  const say =
    (job: JobName): JobWork =>
    async (drive) => {
      calls.push(drive === null ? job : `${job} ${drive}`);
      return null;
    };
  return runLoop({
    clock: room.clock,
    store: room.store,
    boot,
    situation: () => situation,
    jobs: {
      inventory: say('inventory'),
      surroundings: say('surroundings'),
      management: say('management'),
      temperatures: say('temperatures'),
      'drive-health': say('drive-health'),
      'drive-rare-logs': say('drive-rare-logs'),
      judge: say('judge'),
      thin: say('thin'),
      'speed-drive': say('speed-drive'),
      ...work,
    },
    tick: (onTick) => {
      tick = onTick;
      ticking = true;
      return () => {
        ticking = false;
      };
    },
    onProblem: (job, error) => problems.push(`${job}: ${(error as Error).message}`),
    ...more,
  });
}

function pass(ms: number): void {
  room.clock.mono += ms;
  room.clock.wall += ms;
}

/** A promise that the test ends when it wants. */
function gate() {
  let open = (): void => undefined;
  const opened = new Promise<void>((resolve) => {
    open = resolve;
  });
  return { open: () => open(), opened };
}

test('a tick does what is due and records it', async () => {
  const loop = start();
  await tick();
  expect([...calls].sort()).toEqual([
    'drive-health A',
    'drive-health B',
    'drive-rare-logs A',
    'inventory',
    'judge',
    'management',
    'speed-drive A',
    'surroundings',
    'temperatures',
    'thin',
  ]);
  expect(room.store.jobs().find(({ job }) => job === 'thin')).toEqual({
    job: 'thin',
    lastBoot: 1,
    lastMonoMs: 10 * hour,
    lastWallMs: newYear + 10 * hour,
    lastPoweredMs: 10 * hour,
    outcome: 'done',
  });
  await loop.stop();
});

test('the next ticks do only what has become due', async () => {
  const loop = start();
  await tick();
  calls.length = 0;
  pass(minute);
  await tick();
  expect(calls).toEqual(['drive-rare-logs B', 'speed-drive B']);
  calls.length = 0;
  pass(4 * minute);
  await tick();
  expect([...calls].sort()).toEqual(['judge', 'surroundings', 'temperatures']);
  await loop.stop();
});

test('history is taken from the store, so that a restart repeats nothing', async () => {
  await start().stop();
  const first = start();
  await tick();
  await first.stop();
  calls.length = 0;
  const second = start();
  pass(30_000);
  await tick();
  expect(calls).toEqual(['drive-rare-logs B', 'speed-drive B']);
  await second.stop();
});

test('a job that throws is recorded and stops no other', async () => {
  const loop = start({
    inventory: () => Promise.reject(new Error('no answer')),
    surroundings: () => {
      throw new Error('broken at once');
    },
  });
  await tick();
  expect(problems).toEqual(['inventory: no answer', 'surroundings: broken at once']);
  expect(calls).toContain('judge');
  const outcomes = Object.fromEntries(room.store.jobs().map(({ job, outcome }) => [job, outcome]));
  expect(outcomes).toMatchObject({
    inventory: 'failed: no answer',
    surroundings: 'failed: broken at once',
    judge: 'done',
  });
  await loop.stop();
});

test('a job that was put off says why, and comes back after an hour', async () => {
  let count = 0;
  const work: JobWork = async () => {
    count += 1;
    return 'put off: the drive was used';
  };
  const loop = start({ thin: work });
  await tick();
  expect(room.store.jobs().find(({ job }) => job === 'thin')?.outcome).toBe(
    'put off: the drive was used',
  );
  pass(30 * minute);
  await tick();
  expect(count).toBe(1);
  pass(30 * minute);
  await tick();
  expect(count).toBe(2);
  await loop.stop();
});

test('a drive that does not answer holds up neither its neighbour nor the box', async () => {
  const stuck = gate();
  const loop = start({
    'drive-health': async (drive) => {
      calls.push(`health ${drive}`);
      if (drive === 'A') await stuck.opened;
      return null;
    },
  });
  const ticks = [];
  for (let count = 0; count < 3; count += 1) {
    ticks.push(tick());
    await new Promise((resolve) => setImmediate(resolve));
    pass(4 * hour);
  }
  expect(calls.filter((call) => call === 'health A')).toHaveLength(1);
  expect(calls.filter((call) => call === 'health B')).toHaveLength(3);
  expect(calls.filter((call) => call === 'surroundings')).toHaveLength(3);
  stuck.open();
  await Promise.all(ticks);
  await loop.stop();
});

test('heavy work never overlaps, not even for two drives', async () => {
  const slow = gate();
  let running = 0;
  let most = 0;
  const loop = start({
    'speed-drive': async () => {
      running += 1;
      most = Math.max(most, running);
      await slow.opened;
      running -= 1;
      return null;
    },
  });
  const ticks = [tick()];
  for (let count = 0; count < 5; count += 1) {
    await new Promise((resolve) => setImmediate(resolve));
    pass(minute);
    ticks.push(tick());
  }
  slow.open();
  await Promise.all(ticks);
  expect(most).toBe(1);
  await loop.stop();
});

test('stop starts nothing more, tells the job to stop and waits for it', async () => {
  const slow = gate();
  let told = false;
  let ended = false;
  const loop = start({
    inventory: async (_drive, stopping) => {
      stopping.addEventListener('abort', () => {
        told = true;
      });
      await slow.opened;
      ended = true;
      return null;
    },
  });
  const running = tick();
  await new Promise((resolve) => setImmediate(resolve));
  let stopped = false;
  const stopping = loop.stop().then(() => {
    stopped = true;
  });
  await new Promise((resolve) => setImmediate(resolve));
  expect([ticking, told, ended, stopped]).toEqual([false, true, false, false]);
  slow.open();
  await stopping;
  await running;
  expect([ended, stopped]).toEqual([true, true]);
  // The rest of the box's lane was not begun, and no later tick begins anything.
  expect(calls).not.toContain('surroundings');
  calls.length = 0;
  pass(hour);
  await tick();
  expect(calls).toEqual([]);
});

test('a situation that cannot be told is a problem of that tick alone', async () => {
  let broken = true;
  const loop = start(
    {},
    {
      situation: () => {
        if (broken) throw new Error('no list of arrays');
        return situation;
      },
    },
  );
  await tick();
  expect([calls, problems]).toEqual([[], ['schedule: no list of arrays']]);
  broken = false;
  await tick();
  expect(calls).toContain('surroundings');
  await loop.stop();
});

test('when runs cannot be recorded, jobs still keep their distance', async () => {
  const loop = start(
    {},
    {
      store: {
        boots: () => room.store.boots(),
        jobs: () => [],
        jobRan: () => {
          throw new Error('disk full');
        },
      },
    },
  );
  await tick();
  expect(problems).toContain('thin: disk full');
  calls.length = 0;
  for (let count = 0; count < 4; count += 1) {
    pass(minute);
    await tick();
  }
  // The judge looks again since a speed run ended after it.
  expect(calls).toEqual(['drive-rare-logs B', 'speed-drive B', 'judge']);
  await loop.stop();
});

test('what runs every few minutes is stored when its outcome changes, the rest each time', async () => {
  let broken = false;
  const loop = start({
    temperatures: async () => {
      if (broken) throw new Error('no answer');
      return null;
    },
  });
  const stored = () => room.store.jobs().find(({ job }) => job === 'temperatures');
  await tick();
  expect(stored()).toMatchObject({ lastMonoMs: 10 * hour, outcome: 'done' });
  pass(5 * minute);
  await tick();
  expect(stored()).toMatchObject({ lastMonoMs: 10 * hour, outcome: 'done' });
  broken = true;
  pass(5 * minute);
  await tick();
  expect(stored()).toMatchObject({
    lastMonoMs: 10 * hour + 10 * minute,
    outcome: 'failed: no answer',
  });
  pass(4 * hour);
  await tick();
  const health = room.store.jobs().find(({ job }) => job === 'drive-health:A');
  expect(health?.lastMonoMs).toBe(14 * hour + 10 * minute);
  await loop.stop();
});

test.each([
  ['surroundings', 'temperatures'],
  ['temperatures', 'surroundings'],
  ['temperatures', 'drive-health A'],
  ['management', 'temperatures'],
] as const)('while %s wait for something silent, %s go on', async (silent, other) => {
  const stuck = gate();
  const loop = start({
    [silent]: async () => {
      await stuck.opened;
      return null;
    },
  });
  const ticks = [];
  for (let count = 0; count < 3; count += 1) {
    ticks.push(tick());
    await new Promise((resolve) => setImmediate(resolve));
    pass(4 * hour);
  }
  expect(calls.filter((call) => call === other)).toHaveLength(3);
  stuck.open();
  await Promise.all(ticks);
  await loop.stop();
});

test('a drive at work is tried again at the next tick, a figure that moved within an hour', async () => {
  const said: (string | typeof atNextTick | null)[] = [
    atNextTick,
    atNextTick,
    'A figure moved: it is read again soon',
    null,
    null,
  ];
  const moments: number[] = [];
  const loop = start({
    'drive-health': async (drive) => {
      if (drive !== 'A') return null;
      moments.push((room.clock.mono - 10 * hour) / minute);
      return said[moments.length - 1] ?? null;
    },
  });
  for (let count = 0; count <= 310; count += 1) {
    await tick();
    if (moments.length === 2) {
      expect(room.store.jobs().map(({ job }) => job)).not.toContain('drive-health:A');
    }
    pass(minute);
  }
  // A job is due at the tick nearest to its time.
  expect(moments).toEqual([0, 1, 2, 62, 302]);
  await loop.stop();
});
