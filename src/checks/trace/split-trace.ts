import { changePoints, stepNoise } from '../stats/change-points.js';
import { median } from '../stats/median.js';
import { evenRates, type TracePoint } from './trace.js';

/** A stretch of a copy at one speed. */
export interface TracePart {
  /**
   * `memory`: faster than what follows for good, since something holds the data back on its way;
   * `dip`: slower than what the copy later keeps up, while that is caught up; `sustained`: the
   * speed that it keeps up in the end; `other`: another stretch.
   */
  readonly kind: 'memory' | 'dip' | 'sustained' | 'other';
  readonly fromSeconds: number;
  readonly toSeconds: number;
  /** Bytes copied when the stretch begins, and within it. */
  readonly fromBytes: number;
  readonly bytes: number;
  /** Mean of its steps, single spikes counted as far as the others reach. */
  readonly bytesPerSecond: number;
}

const stepSeconds = 0.1;
/** Of a shorter copy nothing is said. */
const leastSeconds = 2;
/** Stretches shorter than this are taken for noise. */
const shortestSeconds = 1;
/** Neighbours closer than this share of the faster one are one stretch (our choice). */
const sameShare = 0.12;
/** A first stretch is memory when it is faster than the sustained one by this (our choice). */
const memoryFactor = 1.3;
/** A dip stays below this share of the sustained speed (our choice). */
const dipShare = 0.75;
const smoothed = 5;
/** Copies do not come to rest between two values: noise is counted more than once. */
const penaltyFactor = 12;

/**
 * Splits a copy into stretches of one speed and says which of them went to memory, which is the dip
 * after it, and which speed is kept up. Works on steps of 0.1 s, freed of single spikes by a moving
 * median. A steady copy gives one sustained part. Empty for less than two seconds.
 */
export function splitTrace(points: readonly TracePoint[]): readonly TracePart[] {
  const rates = evenRates(points, stepSeconds);
  if (rates.length < leastSeconds / stepSeconds) return [];
  const calm = movingMedian(rates, smoothed);
  const noise = Math.max(stepNoise(rates), median(rates) * 0.01);
  const found = changePoints(calm, {
    penalty: penaltyFactor * noise ** 2 * Math.log(calm.length),
    shortest: Math.round(shortestSeconds / stepSeconds),
  });
  const parts = merged(stretches(rates.length, found), rates);
  return named(parts.map((part) => partOf(part, rates)));
}

function movingMedian(values: readonly number[], width: number): readonly number[] {
  const half = Math.floor(width / 2);
  return values.map((_, at) => median(values.slice(Math.max(0, at - half), at + half + 1)));
}

type Unnamed = Omit<TracePart, 'kind'>;

interface Stretch {
  readonly start: number;
  readonly end: number;
}

function stretches(length: number, starts: readonly number[]): readonly Stretch[] {
  const edges = [0, ...starts, length];
  return edges.slice(1).map((end, at) => ({ start: edges[at] ?? 0, end }));
}

function partOf({ start, end }: Stretch, rates: readonly number[]): Unnamed {
  const bytesOf = (steps: readonly number[]) =>
    steps.reduce((sum, rate) => sum + rate, 0) * stepSeconds;
  return {
    fromSeconds: start * stepSeconds,
    toSeconds: end * stepSeconds,
    fromBytes: bytesOf(rates.slice(0, start)),
    bytes: bytesOf(rates.slice(start, end)),
    bytesPerSecond: clippedMean(rates.slice(start, end)),
  };
}

const spikeWidth = 4;

/** Mean with values further than four deviations (by the median ones) from the median pulled in. */
function clippedMean(values: readonly number[]): number {
  const middle = median(values);
  const spread = 1.4826 * median(values.map((value) => Math.abs(value - middle)));
  const [low, high] = [middle - spikeWidth * spread, middle + spikeWidth * spread];
  const clipped = values.map((value) =>
    spread === 0 ? value : Math.min(high, Math.max(low, value)),
  );
  return clipped.reduce((sum, value) => sum + value, 0) / values.length;
}

/** Joins the two neighbours that are most alike, again and again, while they are alike enough. */
function merged(parts: readonly Stretch[], rates: readonly number[]): readonly Stretch[] {
  const speeds = parts.map(({ start, end }) => clippedMean(rates.slice(start, end)));
  const gaps = speeds.slice(1).map((speed, at) => difference(speeds[at] ?? speed, speed));
  const least = Math.min(...gaps);
  if (!(least < sameShare)) return parts;
  const at = gaps.indexOf(least);
  const [one, other] = [parts[at], parts[at + 1]];
  if (one === undefined || other === undefined) return parts;
  const joined = { start: one.start, end: other.end };
  return merged([...parts.slice(0, at), joined, ...parts.slice(at + 2)], rates);
}

function difference(one: number, other: number): number {
  const faster = Math.max(one, other);
  return faster === 0 ? 0 : Math.abs(one - other) / faster;
}

/** The last stretch is what is kept up; those before it are judged against it. */
function named(parts: readonly Unnamed[]): readonly TracePart[] {
  const last = parts.at(-1);
  if (last === undefined) return [];
  const kept = last.bytesPerSecond;
  return parts.map((part, at) => {
    if (part === last) return { ...part, kind: 'sustained' };
    if (at === 0 && part.bytesPerSecond > kept * memoryFactor) return { ...part, kind: 'memory' };
    const afterMemory = at > 0 && part.bytesPerSecond < kept * dipShare;
    return { ...part, kind: afterMemory ? 'dip' : 'other' };
  });
}

/**
 * Bytes that had been taken in but not yet passed on when the fast stretch ended: what the kept-up
 * speed cannot have carried off by then. Null without a fast stretch.
 */
export function heldBytes(parts: readonly TracePart[]): number | null {
  const memory = parts.find(({ kind }) => kind === 'memory');
  const sustained = parts.find(({ kind }) => kind === 'sustained');
  if (memory === undefined || sustained === undefined) return null;
  const seconds = memory.toSeconds - memory.fromSeconds;
  return Math.max(0, memory.bytes - sustained.bytesPerSecond * seconds);
}
