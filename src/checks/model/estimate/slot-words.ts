import type { ModelSlot } from '../schema.js';

/** A slot as people compare slots: "x8 size, wired x4, generation 2". */
export function slotWords({ size, wired, generation }: ModelSlot): string {
  return `x${size} size, wired x${wired}, generation ${generation}`;
}
