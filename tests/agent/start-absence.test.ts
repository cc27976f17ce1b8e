import { afterEach, beforeEach, expect, test } from 'vitest';
import { judgeAll } from '../../src/agent/judging.js';
import { Sampler } from '../../src/agent/sampling.js';
import { wordFinding } from '../../src/checks/wording.js';
import { archiveReadingRoomBox, archiveSerials } from '../box/archive-box.js';
import type { SimBox } from '../box/sim-box.js';
import { makeSimClock } from '../box/sim-clock.js';
import type { SimStart } from '../box/sim-plan.js';
import { newYear, type TemporaryStore, temporaryStore } from './store/temporary-store.js';

const minuteMs = 60_000;
const { trial, system } = archiveSerials;

let room: TemporaryStore;
let box: SimBox;

beforeEach(() => {
  room = temporaryStore({ isGauge: (metric) => metric !== 'power-cycles' });
  box = archiveReadingRoomBox(7, { clock: makeSimClock(newYear) });
});
afterEach(() => room.remove());

/** What the agent does in a boot: a look at once, the drives later, then a judgement. */
async function liveOneBoot(): Promise<readonly string[]> {
  const { clock } = box;
  const boot = room.store.beginBoot(clock.bootId, clock.wallMs());
  const sampler = new Sampler({
    box: box.ofThisBoot(),
    clock,
    store: room.store,
    boot,
    model: null,
  });
  clock.pass(minuteMs);
  await sampler.survey();
  clock.pass(10 * minuteMs);
  for (const serial of [system, trial]) {
    const drive = sampler.inventory.drives.find(({ id }) => id === serial);
    if (drive !== undefined) await sampler.driveHealth(drive);
  }
  const now = { boot, monoMs: clock.bootMs(), wallMs: clock.wallMs() };
  judgeAll({ store: room.store, model: null, classes: [] }, now);
  return room.store.findings('open').map(({ code, subject }) => `${code} ${subject}`);
}

async function start(kind: SimStart): Promise<readonly string[]> {
  if (kind === 'restart') box.restart();
  else box.reboot({ offMs: 3_600_000 });
  return liveOneBoot();
}

test('a drive that is missing after each power-on and there after each restart', async () => {
  await liveOneBoot();
  await start('power-on');
  box.seat(trial).absentAt = 'power-on';
  expect(await start('power-on')).toEqual([]);
  expect(await start('restart')).toEqual([`absent-after-power-on ${trial}`]);
  expect(await start('power-on')).toEqual([`absent-after-power-on ${trial}`]);
  expect(await start('restart')).toEqual([`absent-after-power-on ${trial}`]);
  const [finding] = room.store.findings('open');
  expect(finding?.measured).toBe(2);
  if (finding !== undefined) expect(wordFinding(finding).nextStep).toContain('3.3 V');

  box.seat(trial).absentAt = null;
  expect(await start('power-on')).not.toEqual([]);
  expect(await start('power-on')).not.toEqual([]);
  expect(await start('power-on')).toEqual([]);
});

test('a drive that hangs at a restart until the power is cut', async () => {
  await liveOneBoot();
  await start('power-on');
  box.seat(trial).absentAt = 'restart';
  expect(await start('restart')).toEqual([]);
  expect(await start('power-on')).toEqual([`absent-after-restart ${trial}`]);
});

test('where nothing tells how the box started nothing is claimed', async () => {
  // The only other drive that is read here does not count how often it is switched on.
  const { state } = box.seat(system).drive;
  const cycles = state.powerCycles;
  const startUncounted = async (kind: SimStart) => {
    if (kind === 'restart') box.restart();
    else box.reboot({ offMs: 3_600_000 });
    state.powerCycles = cycles;
    return liveOneBoot();
  };
  await liveOneBoot();
  await startUncounted('power-on');
  box.seat(trial).absentAt = 'power-on';
  await startUncounted('power-on');
  expect(await startUncounted('restart')).toEqual([]);
});

test('a drive taken out by hand at a power-on and put back at another is no such drive', async () => {
  await liveOneBoot();
  await start('power-on');
  box.seat(trial).absentAt = 'power-on';
  await start('power-on');
  box.seat(trial).absentAt = null;
  expect(await start('power-on')).toEqual([]);
});
