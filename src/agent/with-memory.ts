import type { PartKind } from '../checks/part.js';
import type { Reading } from '../checks/reading.js';
import { withArrayMemory } from './probes/array-memory.js';
import { withMemoryTotals } from './probes/memory-totals.js';
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
  return kind === 'array' ? withArrayMemory(readings, store.latest(row.id), now) : readings;
}
