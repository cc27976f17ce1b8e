import { formatBytesPerSecond } from './units.js';

/** One measurement of some drives reading at the same time. */
export interface TogetherStep {
  readonly drives: readonly string[];
  /** Bytes per second of each drive in the order of `drives`; null where it could not be told. */
  readonly rates: readonly (number | null)[];
}

/** A part of the build that the data of several drives passes. */
export interface SharedPart {
  readonly part: string;
  readonly drives: readonly string[];
  /** What it lets through by the build model, bytes per second; null where that is not told. */
  readonly low: number | null;
  readonly high: number | null;
}

export interface TogetherFacts {
  /** Each drive alone, then growing groups, the largest last. */
  readonly steps: readonly TogetherStep[];
  readonly shared: readonly SharedPart[];
  /** Slowest speed that a drive should have at its outer edge; null where nothing tells. */
  readonly expectedLow: (drive: string) => number | null;
}

export interface TogetherVerdict {
  readonly kind: 'each-as-alone' | 'shared-stage' | 'slow-drive' | 'all-slower' | 'cannot-tell';
  /** The part that limits: a shared part or a drive's serial; null where none is named. */
  readonly part: string | null;
  /** One sentence without a full stop. */
  readonly evidence: string;
  readonly verdict: 'met' | 'short' | 'unknown';
}

/** A drive that keeps this share of its own speed beside others is not held back (our choice). */
const keptShare = 0.93;
/** Drives that join and bring less than this share of their own speed meet a limit (our choice). */
const flatShare = 0.6;
/** A drive this far below the middle of the others is slow by itself (our choice). */
const slowShare = 0.7;

/**
 * Why drives that read together are slower than the sum of each alone: a part that they share (the
 * sum stays flat whoever is added), one drive that is slow by itself, or nothing that reading can
 * tell apart (a sum that still grows: vibration, seeks). Pure; common practice, no source.
 */
export function judgeTogether(facts: TogetherFacts): TogetherVerdict {
  const { steps } = facts;
  const last = steps.at(-1);
  const alone = new Map(
    steps.flatMap(({ drives, rates }): [string, number][] => {
      const [drive, rate] = [drives[0], rates[0]];
      return drives.length === 1 && drive !== undefined && rate ? [[drive, rate]] : [];
    }),
  );
  const complete = last?.drives.every((drive) => alone.has(drive)) ?? false;
  const known = last?.rates.every((rate) => rate !== null) ?? false;
  if (last === undefined || !complete || !known || last.drives.length < 2) {
    return cannotTell('Not every drive could be measured alone and beside the others');
  }
  const slow = slowDrive(alone, facts);
  const losers = last.drives.filter(
    (drive, at) => (last.rates[at] ?? 0) < (alone.get(drive) ?? 0) * keptShare,
  );
  if (losers.length < 2) return slow ?? asAlone(last);
  if (isFlat(steps, losers, alone)) return sharedStage(last, losers, facts);
  return slow ?? allSlower(last, alone);
}

function cannotTell(evidence: string): TogetherVerdict {
  return { kind: 'cannot-tell', part: null, evidence, verdict: 'unknown' };
}

function asAlone({ drives, rates }: TogetherStep): TogetherVerdict {
  const sum = formatBytesPerSecond(sumOf(rates));
  const evidence = `${drives.length} drives together read ${sum}, each about as fast as alone`;
  return { kind: 'each-as-alone', part: null, evidence, verdict: 'met' };
}

/** Slower alone than it should be, or far slower than the middle of the others. */
function slowDrive(
  alone: ReadonlyMap<string, number>,
  { expectedLow }: TogetherFacts,
): TogetherVerdict | null {
  for (const [drive, rate] of alone) {
    const low = expectedLow(drive);
    const others = [...alone].filter(([name]) => name !== drive).map(([, other]) => other);
    const middle = others.toSorted((one, other) => one - other)[Math.floor(others.length / 2)];
    const words = formatBytesPerSecond(rate);
    if (low !== null && rate < low) {
      const evidence = `It reads ${words} alone, expected at least ${formatBytesPerSecond(low)}`;
      return { kind: 'slow-drive', part: drive, evidence, verdict: 'short' };
    }
    if (low === null && middle !== undefined && rate < middle * slowShare) {
      const evidence = `It reads ${words} alone, the others ${formatBytesPerSecond(middle)}`;
      return { kind: 'slow-drive', part: drive, evidence, verdict: 'short' };
    }
  }
  return null;
}

/**
 * The drive that joined last brought little: the sum of the drives that lose grew by clearly less
 * than that drive reads alone. Under vibration each brings most of its own speed.
 */
function isFlat(
  steps: readonly TogetherStep[],
  losers: readonly string[],
  alone: ReadonlyMap<string, number>,
): boolean {
  const groups = steps.flatMap(({ drives, rates }) => {
    const own = drives.map((drive, at) => ({ drive, rate: rates[at] ?? null }));
    const present = own.filter(({ drive }) => losers.includes(drive));
    if (present.length === 0 || present.some(({ rate }) => rate === null)) return [];
    const names = present.map(({ drive }) => drive);
    return [{ names, sum: sumOf(present.map(({ rate }) => rate)) }];
  });
  const whole = groups.findLast(({ names }) => names.length === losers.length);
  const before = groups.findLast(
    ({ names }) => names.length < losers.length && names[0] === losers[0],
  );
  if (whole === undefined || before === undefined) return false;
  const joined = losers.filter((drive) => !before.names.includes(drive));
  const couldBring = sumOf(joined.map((drive) => alone.get(drive) ?? 0));
  return whole.sum - before.sum < couldBring * flatShare;
}

function sharedStage(
  last: TogetherStep,
  losers: readonly string[],
  { shared }: TogetherFacts,
): TogetherVerdict {
  const sum = sumOf(last.rates.filter((_, at) => losers.includes(last.drives[at] ?? '')));
  const fits = shared
    .filter(({ drives }) => losers.every((drive) => drives.includes(drive)))
    .toSorted(
      (one, other) =>
        distance(one, sum) - distance(other, sum) || one.drives.length - other.drives.length,
    );
  const [part] = fits;
  const flat = `${losers.length} drives together bring ${formatBytesPerSecond(sum)} and no more, however many read`;
  if (part === undefined) {
    const evidence = `${flat}; the build model names no part that they share`;
    return { kind: 'shared-stage', part: null, evidence, verdict: 'unknown' };
  }
  return { kind: 'shared-stage', part: part.part, ...carries(part, { sum, flat }) };
}

/** How far a measured sum is from what a part carries; parts that tell nothing come last. */
function distance({ low, high }: SharedPart, sum: number): number {
  if (low === null || high === null) return Number.MAX_VALUE;
  if (sum < low) return low - sum;
  return sum > high ? sum - high : 0;
}

function carries(
  { low, high }: SharedPart,
  { sum, flat }: { readonly sum: number; readonly flat: string },
): Pick<TogetherVerdict, 'evidence' | 'verdict'> {
  if (low === null || high === null) return { evidence: flat, verdict: 'unknown' };
  const range = `${formatBytesPerSecond(low)} to ${formatBytesPerSecond(high)}`;
  const isShort = sum < low * keptShare;
  const end = isShort ? `it should carry ${range}` : `that is what it carries (${range})`;
  return { evidence: `${flat}; ${end}`, verdict: isShort ? 'short' : 'met' };
}

function allSlower(last: TogetherStep, alone: ReadonlyMap<string, number>): TogetherVerdict {
  const sum = formatBytesPerSecond(sumOf(last.rates));
  const apart = formatBytesPerSecond(sumOf([...alone.values()]));
  const evidence =
    `Together they read ${sum}, the sum of each alone is ${apart}; it still grows with each drive, ` +
    'so that no shared part explains it. Vibration would, and reading cannot prove it';
  return { kind: 'all-slower', part: null, evidence, verdict: 'unknown' };
}

function sumOf(rates: readonly (number | null)[]): number {
  return rates.reduce<number>((sum, rate) => sum + (rate ?? 0), 0);
}

/**
 * The groups to measure, smallest first: each drive alone, then two, three, four, and steps of half
 * as many again up to all. Pure.
 */
export function growingGroups(drives: readonly string[]): readonly (readonly string[])[] {
  const sizes = new Set<number>();
  for (let size = 2; size < drives.length; size = size < 4 ? size + 1 : Math.ceil(size * 1.5)) {
    sizes.add(size);
  }
  if (drives.length > 1) sizes.add(drives.length);
  return [...drives.map((drive) => [drive]), ...[...sizes].map((size) => drives.slice(0, size))];
}
