import type { SimKind } from './sim-drive-state.js';

/** How much warmer than the room a drive settles, in degrees, by what it does. */
const aboveRoom: Readonly<Record<SimKind, { sleeping: number; idle: number; working: number }>> = {
  'sata-disk': { sleeping: 3, idle: 12, working: 17 },
  'sas-disk': { sleeping: 3, idle: 15, working: 21 },
  'sata-ssd': { sleeping: 5, idle: 6, working: 11 },
  nvme: { sleeping: 16, idle: 18, working: 28 },
};

const settlingMs = 25 * 60_000;
const dayMs = 86_400_000;
const bucketMs = 10 * 60_000;

export interface Doing {
  readonly kind: SimKind;
  readonly standby: boolean;
  readonly working: boolean;
  readonly extraCelsius: number;
}

/** Temperature that a drive tends to in a room of this temperature. */
export function warmthTarget(roomCelsius: number, doing: Doing): number {
  const { sleeping, idle, working } = aboveRoom[doing.kind];
  const own = doing.standby ? sleeping : doing.working ? working : idle;
  return roomCelsius + own + doing.extraCelsius;
}

/** Temperature after `passedMs` on the way from `from` to `target`: the usual exponential. */
export function warmthAfter(from: number, target: number, passedMs: number): number {
  return target + (from - target) * Math.exp(-passedMs / settlingMs);
}

/** A room that is warmest in the afternoon. `elapsedMs` counts from a midnight. */
export function roomAt(meanCelsius: number, swingCelsius: number, elapsedMs: number): number {
  return meanCelsius - swingCelsius * Math.cos((2 * Math.PI * (elapsedMs - 3 * 3_600_000)) / dayMs);
}

/**
 * Small unrest of a sensor, at most ±`amount`, the same for the same seed and moment however
 * often it is read. It changes every ten minutes.
 */
export function unrest(seed: number, elapsedMs: number, amount: number): number {
  let mixed = (seed * 0x9e3779b1 + Math.floor(elapsedMs / bucketMs) * 0x85ebca6b) >>> 0;
  mixed = Math.imul(mixed ^ (mixed >>> 16), 0x7feb352d);
  mixed = Math.imul(mixed ^ (mixed >>> 15), 0x846ca68b);
  return (((mixed ^ (mixed >>> 16)) >>> 0) / 2 ** 31 - 1) * amount;
}
