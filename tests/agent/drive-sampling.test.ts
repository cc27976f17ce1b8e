import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { Sampler } from '../../src/agent/sampling.js';
import { openStore } from '../../src/agent/store/write.js';
import { metricInfo } from '../../src/checks/metrics.js';
import { archiveReadingRoomBox, archiveSerials } from '../box/archive-box.js';
import { makeSimClock } from '../box/sim-clock.js';
import { newYear, temporaryFolder } from './store/temporary-store.js';

const nothing = { readBytesPerSecond: 0, writeBytesPerSecond: 0 };

let folder: string;
beforeEach(() => {
  folder = temporaryFolder();
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

async function archiveSampler() {
  const clock = makeSimClock(newYear);
  const box = archiveReadingRoomBox(7, { clock });
  const store = openStore(join(folder, 'store.sqlite'), clock, {
    isGauge: (metric) => metricInfo(metric).kind === 'gauge',
  });
  const boot = store.beginBoot(clock.bootId, clock.wallMs());
  const sampler = new Sampler({ box, clock, store, boot, model: null });
  await sampler.survey();
  const [serial = ''] = archiveSerials.disks;
  const drive = sampler.inventory.drives.find((one) => one.serial === serial);
  if (drive === undefined) throw new Error(`No drive ${serial} in the simulated box`);
  const questions = () =>
    box.asked.filter((one) => one.serial === serial && one.command.startsWith('SCT')).length;
  return { box, clock, store, sampler, drive, serial, questions };
}

test('rare logs are read by a round of their own, and a usual round leaves them out', async () => {
  const { box, sampler, drive, serial, questions, store } = await archiveSampler();
  box.seat(serial).drive.state.standbyAfterMs = null;
  box.seat(serial).drive.state.standby = false;
  await sampler.surroundings();
  await sampler.driveHealth(drive);
  expect(questions()).toBe(0);

  const first = await sampler.driveHealth(drive, { rare: true });
  expect(questions()).toBeGreaterThan(0);
  expect(first?.readings.map(({ metric }) => metric)).toContain('error-recovery-time-limit');
  store.close();
});

test('a drive that sleeps is not woken for its rare logs', async () => {
  const { box, clock, sampler, drive, serial, questions, store } = await archiveSampler();
  for (const seat of box.parts.seats) Object.assign(seat.load, nothing);
  await sampler.surroundings();
  clock.pass(300_000);
  await sampler.surroundings();
  box.settle();
  box.seat(serial).drive.state.standby = true;
  expect(await sampler.rareLogs(drive)).toBe('The drive sleeps');
  expect(questions()).toBe(0);
  box.seat(serial).drive.state.standby = false;
  expect(await sampler.rareLogs(drive)).toBe(null);
  expect(questions()).toBeGreaterThan(0);
  store.close();
});

test('records of age are stored beside the plain figure', async () => {
  const { box, sampler, drive, serial, store } = await archiveSampler();
  box.seat(serial).drive.state.standby = false;
  await sampler.driveHealth(drive);
  const part = store.parts().find(({ identityKey }) => identityKey === drive.identityKey);
  const stored = part === undefined ? [] : store.latest(part.id);
  const places = stored.filter(({ metric }) => metric === 'hour-counter');
  // The first disk was bought with 31 840 h and had a self-test 40 hours before.
  const newest = places.find(({ place }) => place === 'Newest entry of self-test log 06h');
  expect(newest).toMatchObject({ value: 31_800, unit: 'hours', state: 'measured' });
  expect(places.length).toBeGreaterThanOrEqual(4);
  store.close();
});

test('the newest bytes of each record are kept with every look, the gentle one too', async () => {
  const { box, clock, sampler, store } = await archiveSampler();
  // Without the kernel's own sensor, which would tell the temperature in the drive's place.
  const folders = box.kernelFolder.bind(box);
  box.kernelFolder = (path) =>
    path === '/sys/class/hwmon' ? Promise.resolve({ ok: true, value: [] }) : folders(path);
  const drive = sampler.inventory.drives.find(({ reachedBy }) => reachedBy === 'nvme');
  if (drive === undefined) throw new Error('The simulated box has no NVMe drive');
  box.seat(drive.serial).load.readBytesPerSecond = 1_000_000;
  const { id = 0 } = store.partByName(drive.serial) ?? {};
  await sampler.surroundings();
  await sampler.driveHealth(drive);
  const first = store.newestPages(id);
  const firstMs = Math.max(...first.map(({ at }) => at.monoMs));

  clock.pass(300_000);
  await sampler.surroundings();
  await sampler.temperatures();
  const second = store.newestPages(id);
  expect(second).toHaveLength(first.length);
  const read = (isAgain: boolean) =>
    second.filter(({ at }) => at.monoMs > firstMs === isAgain).map(({ page }) => page.record);
  expect(read(true)).toContain('nvme-log');
  expect(read(false)).toContain('identify-namespace');
  store.close();
});

test('a disk that counts minutes is watched, and its hours are told when that is learned', async () => {
  const { box, clock, sampler, drive, serial, store } = await archiveSampler();
  const { state } = box.seat(serial).drive;
  Object.assign(state, { standbyAfterMs: null, standby: false, powerOnHours: 8000 });
  Object.assign(state, { hourCounterSeconds: 60 });
  state.keeps.statistics = false;
  state.keeps.selfTests = false;
  const latest = (metric: string) => {
    const part = store.partByName(drive.id);
    return store.latest(part?.id ?? 0).find((one) => one.metric === metric && one.place === '');
  };
  await sampler.driveHealth(drive);
  // 480 000 is more than 34 years of hours, so that no hours are told.
  expect(latest('power-on-hours')).toMatchObject({ state: 'no-figure', value: null });
  for (let look = 0; look < 4; look += 1) {
    clock.pass(4 * 3_600_000);
    box.settle();
    await sampler.driveHealth(drive);
  }
  expect(latest('hours-unit')?.text).toBe(
    'minutes: learned by watching 12 powered-on hours, in which it grew by 720',
  );
  expect(latest('power-on-hours')).toMatchObject({
    value: 8016,
    source: 'attribute 9, minutes, learned by watching',
  });
  store.close();
});
