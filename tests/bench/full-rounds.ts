import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Box } from '../../src/agent/box/box.js';
import type { Clock } from '../../src/agent/clock.js';
import { Sampler } from '../../src/agent/sampling.js';
import type { StoreWriter } from '../../src/agent/store/store.js';
import { openStore } from '../../src/agent/store/write.js';
import type { SimBox } from '../box/sim-box.js';
import { makeSimClock } from '../box/sim-clock.js';
import { fullBox } from './full-box.js';
import { RecordedBox } from './recorded-box.js';

const minuteMs = 60_000;
/** So many rounds are recorded; later ones give the first again. */
const recordedRounds = 12;
/** 5 January 2026, 09:00 UTC. */
const startWallMs = Date.UTC(2026, 0, 5, 9);

/** The agent's own rounds over 24 drives whose answers lie ready. */
export interface FullRounds {
  readonly drives: number;
  readonly store: StoreWriter;
  /** The box that the answers came from, as it was left. */
  readonly asked: SimBox;
  /** Goes on by five minutes: surroundings and temperatures. */
  fiveMinutes(): Promise<void>;
  /** All counters of every drive. */
  counters(): Promise<void>;
  end(): void;
}

interface Sampled {
  readonly sampler: Sampler;
  readonly store: StoreWriter;
  readonly remove: () => void;
}

async function sampled(box: Box, clock: Clock): Promise<Sampled> {
  const folder = mkdtempSync(join(tmpdir(), 'bayward-bench-'));
  const store = openStore(join(folder, 'store.sqlite'), clock);
  const boot = store.beginBoot(clock.bootId, clock.wallMs());
  const sampler = new Sampler({ box, clock, store, boot, model: null });
  const remove = () => {
    store.close();
    rmSync(folder, { recursive: true, force: true });
  };
  return { sampler, store, remove };
}

async function readAll({ sampler, store }: Sampled): Promise<void> {
  for (const drive of sampler.inventory.drives) await sampler.driveHealth(drive);
  if (store.parts().length === 0) throw new Error('No part was kept');
}

/** Asks the simulated box so many times and writes down what it says. */
async function recordRounds(recorded: RecordedBox): Promise<SimBox> {
  const clock = makeSimClock(startWallMs);
  const sim = fullBox(clock);
  const life = await sampled(recorded.record(sim), clock);
  for (let round = 0; round < recordedRounds; round += 1) {
    recorded.beginRound();
    await life.sampler.survey();
    await life.sampler.surroundings();
    await life.sampler.temperatures();
    await readAll(life);
    await clock.sleep(5 * minuteMs);
  }
  life.remove();
  return sim;
}

export async function fullRounds(): Promise<FullRounds> {
  const recorded = new RecordedBox();
  const asked = await recordRounds(recorded);
  const clock = steppingClock();
  const life = await sampled(recorded.play(asked), clock);
  let round = 0;
  recorded.turnTo(round);
  await life.sampler.survey();
  return {
    drives: life.sampler.inventory.drives.length,
    store: life.store,
    asked,
    fiveMinutes: async () => {
      recorded.turnTo(round);
      round += 1;
      clock.pass(5 * minuteMs);
      await life.sampler.surroundings();
      await life.sampler.temperatures();
    },
    counters: () => readAll(life),
    end: life.remove,
  };
}

/** Waiting is over at once, and takes its time by this clock. */
function steppingClock(): Clock & { pass(ms: number): void } {
  let monoMs = 0;
  const pass = (ms: number): void => {
    monoMs += ms;
  };
  return {
    bootId: 'boot-1',
    bootMs: () => monoMs,
    wallMs: () => startWallMs + monoMs,
    sleep: async (ms) => pass(ms),
    pass,
  };
}
