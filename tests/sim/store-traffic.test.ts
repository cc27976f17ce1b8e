import { expect, test } from 'vitest';
import { writtenBytes } from '../bench/spent.js';
import { archiveLife, copying, dayMs, hourMs } from './archive-life.js';

/** A store on a USB stick should last for years: a stick of 16 GB stands about 16 TB. */
const megabytesPerDayMax = 40;

test('a day of the whole agent writes little', async () => {
  const { run, end } = archiveLife(7);
  try {
    await run.switchOn();
    await run.pass(hourMs);
    copying(run, true);
    const before = writtenBytes();
    await run.pass(dayMs);
    const megabytes = (writtenBytes() - before) / 1e6;
    const series = run.store.parts().flatMap(({ id }) => run.store.latest(id)).length;
    console.log(`${megabytes.toFixed(1)} MB a day are written for ${series} series`);
    expect(megabytes).toBeLessThan(megabytesPerDayMax);
  } finally {
    await end();
  }
}, 120_000);
