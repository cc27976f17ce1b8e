import type { SharedPart } from '../together.js';
import type { BoxModel } from './parse.js';
import { driveChain } from './topology.js';

/** A drive with the controller that the kernel shows it on. */
export interface PlacedDrive {
  readonly id: string;
  readonly controller: string | null;
}

/**
 * The parts that the data of two or more of these drives passes: by the build model with what they
 * let through, and the controllers that the kernel shows, whose width the model may not tell.
 * Pure.
 */
export function sharedParts(
  drives: readonly PlacedDrive[],
  model: BoxModel | null,
): readonly SharedPart[] {
  const found = new Map<string, { drives: string[]; low: number | null; high: number | null }>();
  const add = (part: string, drive: string, ceiling: { low: number; high: number } | null) => {
    const known = found.get(part) ?? { drives: [], low: null, high: null };
    if (!known.drives.includes(drive)) known.drives.push(drive);
    found.set(part, {
      drives: known.drives,
      low: ceiling?.low ?? known.low,
      high: ceiling?.high ?? known.high,
    });
  };
  for (const { id, controller } of drives) {
    const chain = model === null ? [] : driveChain(model, id).slice(1);
    for (const { part, ceiling } of chain) add(part, id, ceiling);
    if (controller !== null) add(controller, id, null);
  }
  return [...found]
    .filter(([, part]) => part.drives.length > 1)
    .map(([part, { drives: behind, low, high }]) => ({ part, drives: behind, low, high }));
}
