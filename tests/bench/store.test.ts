import { expect, test } from 'vitest';
import { bytesOfDay } from './a-day.js';
import { fullRounds } from './full-rounds.js';

/**
 * 80 MB are measured on the second day, since the first fills the store; with a page of the store
 * for each series in each round it was 200 MB.
 */
const bytesMax = 100e6;

test('a day with 24 drives writes little, so that a boot stick lasts', async () => {
  const rounds = await fullRounds();
  try {
    const first = await bytesOfDay(rounds);
    const second = await bytesOfDay(rounds);
    const series = rounds.store.parts().flatMap(({ id }) => rounds.store.latest(id));
    expect(series.length).toBeGreaterThan(700);
    expect(Math.min(first, second)).toBeGreaterThan(10e6);
    expect(Math.max(first, second)).toBeLessThan(bytesMax);
    // Each round is there, those of the last hours too, though they lie in another table.
    const warm = series.find(({ metric, place }) => metric === 'temperature' && place === '');
    const all = rounds.store.readings(warm?.seriesId ?? 0, 0);
    expect(all.filter(({ state }) => state === 'measured').length).toBeGreaterThanOrEqual(570);
  } finally {
    rounds.end();
  }
}, 180_000);
