import { expect, test } from 'vitest';
import { restlessArrays } from '../../../src/agent/speed/array-rest.js';
import { deviatingPlaces, middleOf, verdictOf } from '../../../src/agent/speed/deviating.js';
import {
  measureDrive,
  type SpeedOrder,
  type SpeedParts,
} from '../../../src/agent/speed/drive-speed.js';
import { parseBlockStat } from '../../../src/agent/speed/kernel-counters.js';
import type { PlaceResult } from '../../../src/agent/speed/measure-places.js';
import { OtherLoad } from '../../../src/agent/speed/other-load.js';
import { speedPlaces } from '../../../src/agent/speed/places.js';
import type { SpeedResult } from '../../../src/checks/speed-result.js';
import { inProcessWorker } from '../../box/in-process-worker.js';
import { boxWith, MemoryDrive, makeStillClock } from '../burn-in/memory-drive.js';

const mebibyte = 1024 * 1024;

test('places depend on the size alone, cover both ends and lie on whole mebibytes', () => {
  const plan = speedPlaces(8_001_563_222_016);
  expect(plan.bytesPerPlace).toBe(256 * mebibyte);
  expect(plan.places).toHaveLength(16);
  expect(plan.places[0]).toBe(0);
  // (8 001 563 222 016 - 268 435 456) * 1/15 = 533 419 652 437.3, on whole MiB 533 418 999 808.
  expect(plan.places[1]).toBe(533_418_999_808);
  expect((plan.places[15] ?? 0) + plan.bytesPerPlace).toBeLessThanOrEqual(8_001_563_222_016);
  expect(8_001_563_222_016 - (plan.places[15] ?? 0) - plan.bytesPerPlace).toBeLessThan(mebibyte);
  expect(plan.places.every((place) => place % mebibyte === 0)).toBe(true);
  expect(speedPlaces(8_001_563_222_016)).toEqual(plan);
});

test.each([
  [0, 0],
  [1_000_000, 0],
  [1_048_576, 16],
  [64 * mebibyte, 16],
  [Number.NaN, 0],
])('a drive of %i bytes has %i places that do not overlap', (sizeBytes, count) => {
  const { places, bytesPerPlace } = speedPlaces(sizeBytes);
  expect(places).toHaveLength(count);
  for (const [index, place] of places.entries()) {
    const next = places[index + 1] ?? sizeBytes;
    expect(place + bytesPerPlace).toBeLessThanOrEqual(next);
  }
});

test('arrays that are degraded or at work are told by name', () => {
  const idle = `Personalities : [raid6]
md0 : active raid6 sdd[3] sdc[2] sdb[1] sda[0]
      976508928 blocks super 1.2 level 6, 512k chunk, algorithm 2 [4/4] [UUUU]

unused devices: <none>`;
  expect(restlessArrays(idle)).toEqual([]);
  expect(restlessArrays('')).toEqual([]);
  const bad = `md0 : active raid5 sdc[2](F) sdb[1] sda[0]
      126976 blocks super 1.2 level 5, 512k chunk, algorithm 2 [3/2] [UU_]
md1 : active raid1 sdf[1] sde[0]
      976508928 blocks super 1.2 [2/2] [UU]
      [=>...................]  check =  8.1% (79210496/976508928) finish=83.0min speed=180000K/sec
md2 : active raid1 sdh[1] sdg[0]
      976508928 blocks super 1.2 [2/2] [UU]
      	resync=DELAYED`;
  expect(restlessArrays(bad)).toEqual([
    'Array md0 is degraded',
    'Array md1 is busy: check 8.1%',
    'Array md2 is busy: resync DELAYED',
  ]);
});

test('kernel counters are in units of 512 bytes whatever the sectors', () => {
  const text = '  100 0 2048 40 3 0 16 2 0 42 42 0 0 0 0 1 1';
  expect(parseBlockStat(text)).toEqual({ readBytes: 1_048_576, writtenBytes: 8192 });
  expect(parseBlockStat('nothing')).toBe(null);
});

test('other requests are what the kernel counted beyond our own', () => {
  const load = new OtherLoad({ readBytes: 1000, writtenBytes: 50 }, 512);
  expect(load.share).toBe(null);
  expect(load.addSlice({ readBytes: 2000, writtenBytes: 50 }, 1000, false)).toBe(false);
  expect(load.addSlice({ readBytes: 3512, writtenBytes: 50 }, 2000, false)).toBe(false);
  expect(load.addSlice({ readBytes: 4513, writtenBytes: 50 }, 3000, false)).toBe(true);
  expect(load.addSlice({ readBytes: 4513, writtenBytes: 51 }, 4000, false)).toBe(true);
  expect(load.share).toBe(0.5);
});

function result(place: number, bytesPerSecond: number | null): PlaceResult {
  return {
    direction: 'read',
    streams: 1,
    place,
    bytesPerSecond,
    low: bytesPerSecond,
    high: bytesPerSecond,
    seconds: 1,
    conditions: { temperature: null, otherLoad: 0, linkSpeed: null, lanes: null },
    complete: bytesPerSecond !== null,
  };
}

test('a place is as expected only by a true comparison of numbers', () => {
  const expectedAt = () => ({ low: 100, high: 200 });
  expect(verdictOf(result(0, 100), expectedAt)).toBe('met');
  expect(verdictOf(result(0, 99), expectedAt)).toBe('short');
  expect(verdictOf(result(0, null), expectedAt)).toBe('unknown');
  expect(verdictOf(result(0, Number.NaN), expectedAt)).toBe('unknown');
  expect(verdictOf(result(0, 500), () => null)).toBe('unknown');
  const disturbed = {
    ...result(0, 99),
    conditions: { ...result(0, 1).conditions, otherLoad: 0.2 },
  };
  expect(verdictOf(disturbed, expectedAt)).toBe('unknown');
});

test('places apart from both neighbours, short ones and those without a figure are repeated', () => {
  const rates = [200, 198, 150, 194, 192, null, 188];
  const results = rates.map((rate, index) => result(index, rate));
  expect(deviatingPlaces(results, () => null)).toEqual([2, 5]);
  expect(deviatingPlaces(results, () => ({ low: 195, high: 300 }))).toEqual([2, 3, 4, 5, 6]);
});

test('the middle of three measurements is kept', () => {
  expect(middleOf([result(0, 90), result(0, 200), result(0, 190)])?.bytesPerSecond).toBe(190);
  expect(middleOf([result(0, null), result(0, 180)])?.bytesPerSecond).toBe(180);
  expect(middleOf([result(0, null)])?.bytesPerSecond).toBe(null);
  expect(middleOf([])).toBe(null);
});

interface Bench {
  readonly drive: MemoryDrive;
  readonly files: Map<string, string>;
  readonly kept: SpeedResult[];
  readonly parts: SpeedParts;
  readonly order: SpeedOrder;
}

function bench(): Bench {
  const clock = makeStillClock();
  const drive = new MemoryDrive({ sizeBytes: 32 * mebibyte, clock });
  const files = new Map<string, string>();
  const kept: SpeedResult[] = [];
  const box = boxWith(drive, files);
  return {
    drive,
    files,
    kept,
    parts: {
      box,
      clock,
      store: {
        nextSpeedRun: () => 5,
        beginBoot: () => 1,
        keepSpeed: (_part, _at, one) => kept.push(one),
      },
      startWorker: inProcessWorker(box, clock, {
        inUse: async () => ['It is mounted'],
        capture: async () => ({ taken: '', commandSet: 'ata', pages: [] }),
      }),
      isAsleep: async () => false,
      conditions: async () => ({ temperature: 31, linkSpeed: '6.0 Gb/s', lanes: null }),
    },
    order: {
      drive: drive.seen,
      partId: 1,
      isBusy: false,
      wake: false,
      expectedAt: () => ({ low: 150e6, high: 250e6 }),
    },
  };
}

test('a drive in use is measured at 16 places, reading only, and each place is kept', async () => {
  const { drive, kept, parts, order } = bench();
  const run = await measureDrive(parts, order);
  const results = await run.done;
  expect(results).toEqual(kept);
  expect(kept.map(({ place }) => place)).toEqual(speedPlaces(32 * mebibyte).places);
  for (const one of kept) {
    expect(one).toMatchObject({ run: 5, path: 'drive:LK4T9021', verdict: 'met', complete: true });
    // The drive in memory reads at 200 MB/s; its clock already counts the request ahead, which
    // is one of 14 timed blocks.
    expect(one.bytesPerSecond).toBeGreaterThan(199e6);
    expect(one.bytesPerSecond).toBeLessThan(215e6);
    expect(one.conditions).toMatchObject({ temperature: 31, linkSpeed: '6.0 Gb/s' });
  }
  expect(drive.writes).toEqual([]);
  expect(drive.opens.every(({ write, exclusive }) => !write && !exclusive)).toBe(true);
});

test('a slow place is measured three times and then short', async () => {
  const { drive, kept, parts, order } = bench();
  const slowPlace = speedPlaces(32 * mebibyte).places[7] ?? 0;
  const read = drive.read.bind(drive);
  let reads = 0;
  drive.read = async (offset, buffer) => {
    if (offset >= slowPlace && offset < slowPlace + 2 * mebibyte) {
      await parts.clock.sleep(5);
      if (offset === slowPlace) reads += 1;
    }
    return read(offset, buffer);
  };
  await (await measureDrive(parts, order)).done;
  expect(kept.filter(({ verdict }) => verdict === 'short').map(({ place }) => place)).toEqual([
    slowPlace,
  ]);
  expect(reads).toBe(3);
});

test('an unreadable place has no figure and says why', async () => {
  const { drive, kept, parts, order } = bench();
  drive.unreadable.set(0, 'unreadable');
  await (await measureDrive(parts, order)).done;
  expect(kept[0]).toMatchObject({
    bytesPerSecond: null,
    complete: false,
    verdict: 'unknown',
    reason: 'Sector 0 failed',
  });
  expect(kept[1]?.verdict).toBe('met');
});

test('load of others is told and nothing is concluded from such a place', async () => {
  const { files, kept, parts, order } = bench();
  let looks = 0;
  files.get = () => {
    looks += 1;
    return `0 0 0 0 ${looks} 0 ${looks * 8} 0 0 0 0`;
  };
  await (await measureDrive(parts, order)).done;
  expect(kept.every(({ verdict }) => verdict === 'unknown')).toBe(true);
  expect(kept[0]?.conditions.otherLoad).toBe(1);
  expect(kept[0]?.reason).toBe('Other requests reached the drive');
});

test.each<[string, (bench: Bench) => Partial<SpeedOrder>, string]>([
  ['while a burn-in works on it', () => ({ isBusy: true }), 'busy'],
  [
    'while an array is degraded',
    ({ files }) => {
      files.set('/proc/mdstat', 'md0 : active raid1 sda[0]\n 976 blocks super 1.2 [2/1] [U_]');
      return {};
    },
    'arrays-need-rest',
  ],
  [
    'that is too small',
    ({ drive }) => ({ drive: { ...drive.seen, capacityBytes: 4096 } }),
    'too-small',
  ],
])('a drive is not measured %s', async (_what, change, code) => {
  const one = bench();
  const order = { ...one.order, ...change(one) };
  await expect(measureDrive(one.parts, order)).rejects.toMatchObject({ code, exitCode: 4 });
  expect(one.drive.opens).toEqual([]);
});

test('a sleeping drive is not woken unless asked', async () => {
  const { drive, parts, order } = bench();
  const asleep = { ...parts, isAsleep: async () => true };
  await expect(measureDrive(asleep, order)).rejects.toMatchObject({ code: 'asleep' });
  expect(drive.opens).toEqual([]);
  await (await measureDrive(asleep, { ...order, wake: true })).done;
  expect(drive.opens.length).toBeGreaterThan(0);
});

test('a cancelled measurement keeps what it has and says what is missing', async () => {
  const { kept, parts, order } = bench();
  const run = await measureDrive(parts, {
    ...order,
    onPlace: (done) => done === 3 && run.cancel(),
  });
  await run.done;
  expect(kept).toHaveLength(16);
  expect(kept.slice(0, 3).every(({ complete }) => complete)).toBe(true);
  expect(kept.at(-1)).toMatchObject({ complete: false, bytesPerSecond: null, verdict: 'unknown' });
  expect(kept.at(-1)?.reason).toBe('The work was stopped by request');
});
