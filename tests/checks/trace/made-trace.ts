import type { TracePoint } from '../../../src/checks/trace/trace.js';
import { Chance } from '../model/random-model.js';

/** A copy through memory: what was put into it, so that what is read out can be compared. */
export interface MadeTrace {
  readonly points: readonly TracePoint[];
  readonly memoryBytesPerSecond: number;
  readonly driveBytesPerSecond: number;
  /** Unwritten bytes that the kernel allows. */
  readonly limitBytes: number;
  readonly kneeSeconds: number;
  /** Length of the stall after the knee; 0 for none. */
  readonly dipSeconds: number;
  readonly dipBytesPerSecond: number;
}

const step = 0.1;

/**
 * Copying is fast (up to 1.6 GB/s, more than 10-gigabit Ethernet carries) until the unwritten bytes
 * reach the limit: they grow by what the drive does not carry off. It may then stall, and go on at
 * the drive's speed. Noise is autocorrelated, has heavy tails and comes in whole mebibytes.
 */
export function makeTrace(seed: number): MadeTrace {
  const chance = new Chance(seed * 7919);
  const between = (low: number, high: number) => low + (high - low) * (chance.below(1e6) / 1e6);
  const driveBytesPerSecond = between(90e6, 420e6);
  const memoryBytesPerSecond = Math.min(1.6e9, driveBytesPerSecond * between(2.2, 8));
  const memorySize = between(8e9, 32e9);
  const limitBytes = memorySize * 0.2;
  const kneeSeconds = limitBytes / (memoryBytesPerSecond - driveBytesPerSecond);
  const dipSeconds = chance.yes(0.6) ? between(3, 9) : 0;
  const dipBytesPerSecond = driveBytesPerSecond * between(0.05, 0.4);
  const total = kneeSeconds + dipSeconds + between(30, 80);
  const speedAt = (seconds: number) => {
    if (seconds < kneeSeconds) return memoryBytesPerSecond;
    return seconds < kneeSeconds + dipSeconds ? dipBytesPerSecond : driveBytesPerSecond;
  };
  const points = noisy(speedAt, total, chance);
  return {
    points,
    memoryBytesPerSecond,
    driveBytesPerSecond,
    limitBytes,
    kneeSeconds,
    dipSeconds,
    dipBytesPerSecond,
  };
}

/** A copy that keeps one speed, with the same noise. */
export function makeSteady(seed: number): readonly TracePoint[] {
  const chance = new Chance(seed * 104_729);
  const speed = 80e6 + chance.below(900) * 1e6;
  return noisy(() => speed, 40 + chance.below(60), chance);
}

function noisy(
  speedAt: (seconds: number) => number,
  total: number,
  chance: Chance,
): readonly TracePoint[] {
  const points: TracePoint[] = [{ seconds: 0, bytes: 0 }];
  let drift = 0;
  let exact = 0;
  for (let at = 1; at * step <= total; at += 1) {
    // Two of a hundred steps are spikes: nothing at all, or twice as much.
    const spike = chance.below(100) < 2 ? (chance.yes() ? -1 : 1) : 0;
    const shake = (chance.below(1000) + chance.below(1000) + chance.below(1000)) / 1500 - 1;
    drift = 0.7 * drift + 0.04 * shake;
    exact += speedAt((at - 0.5) * step) * step * Math.max(0, 1 + drift + spike);
    points.push({ seconds: at * step, bytes: Math.floor(exact / 2 ** 20) * 2 ** 20 });
  }
  return points;
}
