import type { PartKind } from '../checks/part.js';
import type { Reading } from '../checks/reading.js';
import { withArrayMemory } from './probes/array-memory.js';
import { withMemoryTotals } from './probes/memory-totals.js';
import { watchedCount, watchHours } from './probes/watch-hours.js';
import type { Instant, PartRow } from './store/rows.js';
import type { StoreReader } from './store/store.js';

interface Kept {
  readonly store: StoreReader;
  readonly row: PartRow;
  readonly now: Instant;
}

/** Readings of a part together with what the kernel forgets and the store remembers. */
export function withMemory(
  kind: PartKind,
  readings: readonly Reading[],
  { store, row, now }: Kept,
): readonly Reading[] {
  if (kind === 'memory') return withMemoryTotals(readings, store.latest(row.id), now);
  if (kind === 'array') return withArrayMemory(readings, store.latest(row.id), now);
  const isWatched = readings.some(({ metric }) => metric === watchedCount);
  return isWatched ? [...readings, ...watchHours(readings, store.latest(row.id), now)] : readings;
}
