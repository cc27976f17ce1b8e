import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { judgeAll } from '../../src/agent/judging.js';
import { Sampler } from '../../src/agent/sampling.js';
import type { StoreWriter } from '../../src/agent/store/store.js';
import { openStore } from '../../src/agent/store/write.js';
import { parseModel } from '../../src/checks/model/parse.js';
import { archiveParts, archiveReadingRoomBox, archiveSerials } from '../box/archive-box.js';
import type { BoxFault } from '../box/fault.js';
import { faultIdentity } from '../box/faults.js';
import { kernelFaults } from '../box/kernel-faults.js';
import type { SimBox } from '../box/sim-box.js';
import { makeSimClock } from '../box/sim-clock.js';

const startWallMs = 1_709_280_000_000;
const minuteMs = 60_000;

const text = readFileSync(new URL('../box/archive-model.toml', import.meta.url), 'utf8');
const parsed = parseModel(text, 'archive-model.toml');
const model = 'model' in parsed ? parsed.model : null;

let folder: string;
let box: SimBox;
let store: StoreWriter;
let sampler: Sampler;
let boot: number;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'bayward-judging-'));
  box = archiveReadingRoomBox(7, { clock: makeSimClock(startWallMs) });
  store = openStore(join(folder, 'store.sqlite'), box.clock);
});

afterEach(() => {
  store.close();
  rmSync(folder, { recursive: true });
});

/** All drives are in use, so that none of them falls asleep. */
function use(): void {
  for (const { load } of box.parts.seats) load.readBytesPerSecond = 1e6;
}

async function switchOn(): Promise<void> {
  const { clock } = box;
  boot = store.beginBoot(clock.bootId, clock.wallMs());
  sampler = new Sampler({ box: box.ofThisBoot(), clock, store, boot, model });
  await sampler.survey();
}

/** Rounds five minutes apart, each put before the judge; drives are read in the first of four. */
async function watch(rounds: number): Promise<void> {
  for (let round = 0; round < rounds; round += 1) {
    box.clock.pass(5 * minuteMs);
    box.settle();
    await sampler.survey();
    await sampler.surroundings();
    await sampler.management();
    await sampler.temperatures();
    if (round % 4 === 0) {
      for (const drive of sampler.inventory.drives) {
        await sampler.driveHealth(drive, { rare: round === 0, mayWake: true });
      }
    }
    judge();
  }
}

function judge(): void {
  const { clock } = box;
  const now = { boot, monoMs: clock.bootMs(), wallMs: clock.wallMs() };
  judgeAll({ store, model, classes: [] }, now);
}

const [, , serial, otherSerial] = archiveSerials.disks;

function targetOf(fault: BoxFault) {
  const drive = fault.drive === 'trial' ? archiveSerials.trial : serial;
  return { serial: drive, otherSerial, card: archiveParts.networkCard };
}

async function plant(fault: BoxFault): Promise<void> {
  for (let time = 0; time < (fault.times ?? 1); time += 1) {
    if (time > 0) await watch(1);
    fault.plant(box, targetOf(fault));
    box.settle();
  }
  if (fault.restarts !== true) return;
  box.reboot({ offMs: 60 * minuteMs });
  await switchOn();
}

const timeoutMs = 60_000;

test.each(kernelFaults)(
  '$name: one finding, with the right blame, and it closes',
  async (fault) => {
    if (fault.idle !== true) use();
    fault.prepare?.(box);
    await switchOn();
    await watch(6);
    expect(store.findings('all')).toEqual([]);

    await plant(fault);
    await watch(13);
    const [finding, ...more] = store.findings('all');
    expect(more).toEqual([]);
    expect(finding?.code).toBe(fault.finding);
    const key = faultIdentity(box, fault, targetOf(fault));
    const blamed = store.parts().find(({ identityKey }) => identityKey === key)?.name ?? key;
    expect(finding?.subject).toBe(blamed);

    fault.repair(box, targetOf(fault));
    box.settle();
    await watch(13);
    if (store.findings('open').length > 0) {
      store.accountForFinding(finding?.id ?? 0);
      judge();
    }
    expect(store.findings('all').map(({ state }) => state)).toEqual(['cleared']);
  },
  timeoutMs,
);
