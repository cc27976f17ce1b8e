/** Drives that read together, on a box whose links and drives are of known make. */
import { afterEach, beforeEach, expect, test } from 'vitest';
import { TogetherRuns } from '../../../src/agent/speed/together-runs.js';
import type { SpeedRow } from '../../../src/agent/store/rows.js';
import type { StartWorker, WorkerResult } from '../../../src/agent/workers/worker.js';
import { parseModel } from '../../../src/checks/model/parse.js';
import { boxWith, MemoryDrive, makeStillClock } from '../burn-in/memory-drive.js';
import { type TemporaryStore, temporaryStore } from '../store/temporary-store.js';

const names = ['LK-A', 'LK-B', 'LK-C'];

const modelText = `
[[slot]]
id = "slot-a"
size = 4
wired = 1
generation = 2
[[card]]
id = "disk-card"
kind = "disk"
slot = "slot-a"
ports = [{ id = "1", link = "6G" }, { id = "2", link = "6G" }, { id = "3", link = "6G" }]
${names.map((serial, at) => `[[drive]]\nserial = "${serial}"\ncapacity = "4 TB"\nport = "disk-card.${at + 1}"`).join('\n')}
`;

/** Bytes that each drive has given; while its child reads, it gives its share of the lane. */
class Lane {
  readonly clock = makeStillClock();
  readonly reading = new Set<string>();
  readonly bytes = new Map<string, number>(names.map((name) => [name, 0]));
  readonly asked: string[][] = [];
  constructor(
    readonly speeds: Readonly<Record<string, number>>,
    readonly carries: number,
  ) {}

  pass(ms: number): void {
    const active = [...this.reading];
    const wanted = active.reduce((sum, name) => sum + (this.speeds[name] ?? 0), 0);
    const share = wanted === 0 ? 0 : Math.min(1, this.carries / wanted);
    for (const name of active) {
      const more = ((this.speeds[name] ?? 0) * share * ms) / 1000;
      this.bytes.set(name, (this.bytes.get(name) ?? 0) + more);
    }
    this.clock.advance(ms);
  }

  readonly startWorker: StartWorker = (task) => {
    const name = task.do === 'stream' ? task.drive.serial : '';
    this.reading.add(name);
    this.asked.push([...this.reading]);
    let end: (result: WorkerResult) => void = () => undefined;
    const ended = new Promise<WorkerResult>((resolve) => {
      end = resolve;
    });
    const result = {
      code: null,
      text: 'Stopped',
      exitCode: 0,
      signal: null,
      seconds: 0,
      atByte: null,
    };
    return {
      send: () => undefined,
      cancel: () => {
        this.reading.delete(name);
        end({ ...result, reason: 'cancelled' });
      },
      ended,
    };
  };
}

let room: TemporaryStore;

beforeEach(() => {
  room = temporaryStore();
});
afterEach(() => room.remove());

function runsOn(lane: Lane, own: { mdstat?: string; withModel?: boolean } = {}) {
  const parsed = parseModel(modelText, 'box.toml');
  if ('complaints' in parsed) throw new Error(parsed.complaints.map(({ text }) => text).join());
  const drives = names.map((serial) => {
    const { seen } = new MemoryDrive({ sizeBytes: 64 * 2 ** 20 });
    return { ...seen, id: serial, serial, devicePath: `/dev/${serial}`, controller: 'disk-card' };
  });
  const boot = room.store.beginBoot(lane.clock.bootId, lane.clock.wallMs());
  for (const name of names) {
    const at = { boot, monoMs: 0, wallMs: 0 };
    room.store.keepPart({ kind: 'drive', identityKey: name, name, label: '', details: {} }, at);
  }
  const clock = {
    ...lane.clock,
    bootId: lane.clock.bootId,
    bootMs: () => lane.clock.bootMs(),
    wallMs: () => lane.clock.wallMs(),
    sleep: async (ms: number) => lane.pass(ms),
  };
  const base = boxWith(new MemoryDrive({ sizeBytes: 2 ** 20 }));
  const box: typeof base = {
    ...base,
    kernelText: async (path) => {
      if (path === '/proc/mdstat') return { ok: true, value: own.mdstat ?? '' };
      const name = /^\/sys\/block\/(LK-.)\/stat$/.exec(path)?.[1];
      if (name === undefined) return base.kernelText(path);
      const sectors = Math.floor((lane.bytes.get(name) ?? 0) / 512);
      return { ok: true, value: `1 0 ${sectors} 0 0 0 0 0 0 0 0` };
    },
  };
  const said: string[] = [];
  const runs = new TogetherRuns({
    box,
    clock,
    store: room.store,
    startWorker: lane.startWorker,
    model: own.withModel === false ? null : parsed.model,
    isBusy: ({ id }) => id === 'LK-BUSY',
    expectedLow: () => null,
    say: (line) => said.push(line),
  });
  return { runs, drives, said };
}

async function measured(
  lane: Lane,
  own: Parameters<typeof runsOn>[1] = {},
): Promise<readonly SpeedRow[]> {
  const { runs, drives, said } = runsOn(lane, own);
  const { run } = await runs.start(drives, { wake: true });
  while (runs.running().length > 0) await new Promise((resolve) => setImmediate(resolve));
  expect(said).toEqual([]);
  const rows = room.store.parts().flatMap(({ id }) => [...room.store.speeds(id)]);
  return rows.filter((row) => row.run === run);
}

const same = { 'LK-A': 200e6, 'LK-B': 200e6, 'LK-C': 200e6 };

test('three drives on one lane: the slot is named, with what it carries', async () => {
  const lane = new Lane(same, 421e6);
  const rows = await measured(lane);
  expect(rows.map(({ streams }) => streams)).toEqual([1, 1, 1, 2, 3]);
  const sums = rows.map(({ bytesPerSecond }) => Math.round((bytesPerSecond ?? 0) / 1e6));
  expect(sums).toEqual([200, 200, 200, 400, 421]);
  expect(rows.at(-1)).toMatchObject({ path: 'group:slot-a', complete: true, verdict: 'met' });
  expect(rows.at(-1)?.limit?.part).toBe('slot-a');
  expect(rows.at(-1)?.reason).toContain('LK-A 140.3 MB/s, LK-B 140.3 MB/s, LK-C 140.3 MB/s');
  // Nobody reads while another group is measured.
  expect(Math.max(...lane.asked.map(({ length }) => length))).toBe(3);
  expect(lane.reading.size).toBe(0);
});

test('one slow drive is named, and the lane is not', async () => {
  const rows = await measured(new Lane({ ...same, 'LK-B': 40e6 }, 2e9));
  expect(rows.at(-1)).toMatchObject({ verdict: 'short', limit: { part: 'LK-B' } });
});

test('without a model the controller that the kernel shows is named', async () => {
  const rows = await measured(new Lane(same, 300e6), { withModel: false });
  expect(rows.at(-1)).toMatchObject({
    path: 'group:disk-card',
    verdict: 'unknown',
    limit: { part: 'disk-card' },
  });
});

test('a degraded array is spared, and so is a box with one drive', async () => {
  const degraded = 'md0 : active raid1 LK-A[0]\n      100 blocks [2/1] [U_]\n';
  const { runs, drives } = runsOn(new Lane(same, 1e9), { mdstat: degraded });
  await expect(runs.start(drives, { wake: true })).rejects.toThrow('Array md0 is degraded');
  const other = runsOn(new Lane(same, 1e9));
  await expect(other.runs.start(other.drives.slice(0, 1), { wake: true })).rejects.toThrow(
    'Fewer than two drives can be read now',
  );
});

test('a drive that gives nothing leaves no figure and no child behind', async () => {
  const lane = new Lane({ ...same, 'LK-C': 0 }, 1e9);
  const rows = await measured(lane);
  const silent = rows[2];
  expect(silent).toMatchObject({ complete: false, bytesPerSecond: null, verdict: 'unknown' });
  expect(silent?.reason).toBe('Drive LK-C gave nothing within 20 s');
  expect(rows.at(-1)?.verdict).toBe('unknown');
  expect(lane.reading.size).toBe(0);
});
