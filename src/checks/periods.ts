import type { PartKind } from './part.js';

const minuteMs = 60_000;

/**
 * How far apart the agent's rounds over sensors, links, network and activity are, in milliseconds.
 * Our choice.
 */
export const surroundingsPeriodMs = 5 * minuteMs;

/**
 * How far apart the rounds over all counters of a drive are, in milliseconds. They move slowly,
 * each round is some thirty commands, and a round starts the spin-down timer of some drives anew:
 * more often than twice the time that a drive takes to fall asleep would keep it awake for good
 * (Linux Documentation/hwmon/drivetemp.rst).
 */
export const driveHealthPeriodMs = 4 * 60 * minuteMs;

const readEachRound: readonly string[] = ['read-rate', 'write-rate', 'busy-share'];

/** How far apart readings of one metric of one kind of part are, at most, in milliseconds. Pure. */
export function periodMsOf(kind: PartKind, metric: string): number {
  const ownPace = kind === 'drive' && !readEachRound.includes(metric);
  return ownPace ? driveHealthPeriodMs : surroundingsPeriodMs;
}
