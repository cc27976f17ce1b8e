/** After a look at a drive each figure that its records told can be followed to its bytes. */
import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { Sampler } from '../../src/agent/sampling.js';
import type { StoreWriter } from '../../src/agent/store/store.js';
import { openStore } from '../../src/agent/store/write.js';
import { bytesView } from '../../src/web/bytes-view.js';
import { makeBytesFinder } from '../../src/web/kept-bytes.js';
import { archiveReadingRoomBox, archiveSerials } from '../box/archive-box.js';
import { makeSimClock } from '../box/sim-clock.js';
import { newYear, temporaryFolder } from './store/temporary-store.js';

let folder: string;
beforeEach(() => {
  folder = temporaryFolder();
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

async function lookedAt(serial: string): Promise<StoreWriter> {
  const clock = makeSimClock(newYear);
  const box = archiveReadingRoomBox(7, { clock });
  const store = openStore(join(folder, 'store.sqlite'), clock);
  const boot = store.beginBoot(clock.bootId, clock.wallMs());
  const sampler = new Sampler({ box, clock, store, boot, model: null });
  await sampler.survey();
  await sampler.surroundings();
  const { state } = box.seat(serial).drive;
  state.standbyAfterMs = null;
  state.standby = false;
  const drive = sampler.inventory.drives.find((one) => one.serial === serial);
  if (drive === undefined) throw new Error(`No drive ${serial} in the simulated box`);
  await sampler.driveHealth(drive, { rare: true });
  return store;
}

/** The kernel's own files, and what it worked out or kept of the drive by itself. */
const byKernel = /^(Kernel|Lower limit of port)|kept by the kernel$/;

test.each([
  ['NVMe', archiveSerials.system, { figuresMin: 25, step: 2 }],
  ['SATA', archiveSerials.disks[0], { figuresMin: 50, step: 5 }],
])(
  '%s',
  async (_kind, serial, { figuresMin, step }) => {
    const store = await lookedAt(serial);
    const part = store.partByName(serial);
    if (part === null) throw new Error(`Drive ${serial} was not kept`);
    const find = makeBytesFinder();
    const told = store
      .latest(part.id)
      .filter(({ state, source }) => state === 'measured' && !byKernel.test(source));
    expect(told.length).toBeGreaterThan(figuresMin);
    // Each takes some hundred readings of all pages, so that only some of them are followed here.
    for (const { metric, place, value } of told.filter((_, index) => index % step === 0)) {
      const found = bytesView(store, { part, name: { metric, place }, find })?.found;
      expect(found?.reading.value, `${metric} ${place}`).toBe(value);
      expect(found?.pages.length, `${metric} ${place}`).toBeGreaterThan(0);
    }
    store.close();
  },
  120_000,
);
