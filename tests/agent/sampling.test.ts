import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { parseDevicePath } from '../../src/agent/probes/parse-device-path.js';
import { Sampler } from '../../src/agent/sampling.js';
import type { StoreWriter } from '../../src/agent/store/store.js';
import { openStore } from '../../src/agent/store/write.js';
import { archiveReadingRoomBox, archiveSerials } from '../box/archive-box.js';
import type { SimBox } from '../box/sim-box.js';
import { makeSimClock } from '../box/sim-clock.js';

const startWallMs = 1_709_280_000_000;
const minuteMs = 60_000;

let folder: string;
let box: SimBox;
let store: StoreWriter;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'bayward-sampling-'));
  box = archiveReadingRoomBox(7, { clock: makeSimClock(startWallMs) });
  store = openStore(join(folder, 'store.sqlite'), box.clock);
});

afterEach(() => {
  store.close();
  rmSync(folder, { recursive: true });
});

async function startAgent(): Promise<Sampler> {
  const { clock } = box;
  const boot = store.beginBoot(clock.bootId, clock.wallMs());
  const sampler = new Sampler({ box: box.ofThisBoot(), clock, store, boot, model: null });
  await sampler.survey();
  return sampler;
}

/** What the kernel calls a drive's SATA port in this boot. */
async function ataPortOf(serial: string): Promise<string> {
  const names = await box.kernelFolder('/sys/block');
  for (const name of names.ok ? names.value : []) {
    const page = await box.kernelBytes(`/sys/block/${name}/device/vpd_pg80`);
    if (!page.ok || !Buffer.from(page.value).toString('latin1').includes(serial)) continue;
    const path = await box.kernelRealPath(`/sys/block/${name}`);
    return parseDevicePath(path.ok ? path.value : '').ataPort ?? 'no port';
  }
  throw new Error(`The box shows no drive ${serial}`);
}

function eventsOf(serial: string) {
  const part = store.parts().find(({ name }) => name === serial);
  return store.events(part?.id ?? -1, 50).map(({ at, kind }) => [at.boot, kind]);
}

test('what the kernel logs of a drive is kept with it once, over restarts and boots', async () => {
  const [first, second] = archiveSerials.disks;
  const sampler = await startAgent();
  const port = await ataPortOf(first);
  box.clock.pass(minuteMs);
  box.writeLog(`${port}: hard resetting link`);
  await sampler.surroundings();
  await sampler.surroundings();
  await (await startAgent()).surroundings();
  expect(eventsOf(first)).toEqual([[1, 'link-reset']]);
  expect(eventsOf(second)).toEqual([]);

  box.reboot({ offMs: 8 * 3_600_000 });
  const later = await startAgent();
  box.writeLog(`${await ataPortOf(first)}: limiting SATA link speed to 3.0 Gbps`);
  await later.surroundings();
  expect(eventsOf(first)).toEqual([
    [2, 'link-slowed'],
    [1, 'link-reset'],
  ]);
});

test('drives that moved, left and came between two boots are told by the next look', async () => {
  const [moved, left, ...others] = archiveSerials.disks;
  await startAgent();
  expect(store.events(null, 50)).toEqual([]);
  const place = box.seat(left).place;
  box.unplug(moved);
  box.unplug(left);
  if (place === null) throw new Error('The drive has no place');
  box.plug(moved, place);
  box.reboot({ offMs: 3_600_000 });
  await startAgent();
  expect(eventsOf(moved)).toEqual([[2, 'part-moved']]);
  expect(eventsOf(left)).toEqual([[2, 'part-missing']]);
  expect(others.flatMap(eventsOf)).toEqual([]);
});

test('the box itself, what is not there and why are told', async () => {
  const sampler = await startAgent();
  expect(store.partByName('box')?.kind).toBe('box');
  // The box has one md array of its four disks, so there is no reason to give for arrays.
  expect(store.parts().flatMap(({ kind, name }) => (kind === 'array' ? [name] : []))).toEqual([
    'array-recordings',
  ]);
  expect(Object.keys(sampler.emptyWhy).sort()).toEqual([
    'management-controller',
    'memory',
    'memory-errors',
  ]);
});
