import type { PartKind } from '../checks/part.js';

const minuteMs = 60_000;

/** How far apart the agent's rounds over sensors, links, network and activity are meant to be. */
export const surroundingsPeriodMs = 5 * minuteMs;

/** How far apart the rounds over all counters of a drive are meant to be. */
export const driveHealthPeriodMs = 4 * 60 * minuteMs;

const readEachRound: readonly string[] = ['read-rate', 'write-rate', 'busy-share'];

/** How far apart readings of one metric of one kind of part are meant to be, at most. */
export function periodMsOf(kind: PartKind, metric: string): number {
  const ownPace = kind === 'drive' && !readEachRound.includes(metric);
  return ownPace ? driveHealthPeriodMs : surroundingsPeriodMs;
}
