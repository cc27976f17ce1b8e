import type { Inventory, PartReadings } from '../../checks/part.js';
import type { Box } from '../box/box.js';
import {
  type DiskCounters,
  parseDiskStat,
  ratesBetween,
  requestsBetween,
} from './disk-counters.js';

/** By lasting identity; null for a drive whose counters could not be read. */
export type ActivityCounters = ReadonlyMap<string, DiskCounters | null>;

/**
 * The kernel's own request counters of each drive. They are kept in memory: reading them neither
 * asks the drive nor wakes it.
 */
export async function readActivity(box: Box, inventory: Inventory): Promise<ActivityCounters> {
  const counters = new Map<string, DiskCounters | null>();
  for (const { identityKey, kernelName, diskSequence } of inventory.drives) {
    const answer = await box.kernelText(`/sys/block/${kernelName}/stat`);
    const parsed = answer.ok ? parseDiskStat(answer.value) : null;
    counters.set(identityKey, parsed === null ? null : { ...parsed, diskSequence });
  }
  return counters;
}

/** Rates between two looks that lie `seconds` apart, for each drive of the later look. */
export function activityReadings(
  before: ActivityCounters,
  after: ActivityCounters,
  seconds: number,
): readonly PartReadings[] {
  return [...after].map(([identityKey, now]) => ({
    identityKey,
    readings: ratesBetween(before.get(identityKey) ?? null, now, seconds),
  }));
}

/**
 * Whether any request reached the drive between two looks. Where that cannot be told the answer
 * is no: a drive that may sleep is better left alone than woken by a guess.
 */
export function hadRequests(
  before: ActivityCounters,
  after: ActivityCounters,
  identityKey: string,
): boolean {
  return requestsBetween(before.get(identityKey) ?? null, after.get(identityKey) ?? null);
}
