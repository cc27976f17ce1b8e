import type { PartReadings } from '../checks/part.js';

/** What several probes read of one part, together. */
export function byPart(groups: readonly PartReadings[]): readonly PartReadings[] {
  const keys = [...new Set(groups.map(({ identityKey }) => identityKey))];
  return keys.map((identityKey) => ({
    identityKey,
    readings: groups
      .filter((one) => one.identityKey === identityKey)
      .flatMap(({ readings }) => readings),
  }));
}
