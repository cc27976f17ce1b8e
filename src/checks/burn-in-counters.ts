import type { VerdictReason } from './burn-in-result.js';
import { metricInfo } from './metrics.js';
import type { Reading } from './reading.js';

/** A counter that was measured on both sides of a burn-in. */
export interface ComparedCounter {
  readonly metric: string;
  readonly before: number;
  readonly after: number;
  readonly source: string;
}

export interface CounterComparison {
  /** How many damage counters were measured before and after. */
  readonly comparedCount: number;
  readonly grown: readonly ComparedCounter[];
  readonly aboveZero: readonly ComparedCounter[];
  /** The drive's own verdict was read after the run and is "not failing". */
  readonly driveSaysWell: boolean;
  readonly driveSaysFailing: boolean;
  /** Bits of the drive's own warnings after the run; null when none were read. */
  readonly warnings: number | null;
  /** Percent of its endurance that the drive tells as used after the run, or null. */
  readonly enduranceUsed: number | null;
}

/** All of it is used: wear, which is no fault, but worth another look (common practice). */
const enduranceSpent = 100;

/** Low spare, failing reliability, read-only: bits 0, 2, 3 (NVMe log 02h byte 0, from memory). */
const condemningWarnings = 0b1101;

/**
 * Compares the damage counters (count or sectors) of two sets of readings, by metric and place.
 * Null or empty sets compare nothing. A value that is not finite is not compared. A disk parks its
 * heads in an emergency at each power cut of the box: so many parks are no growth. Never throws.
 */
export function compareCounters(
  before: readonly Reading[] | null,
  after: readonly Reading[] | null,
  { powerCuts = 0 }: { readonly powerCuts?: number } = {},
): CounterComparison {
  const first = figures(before ?? []);
  const compared: ComparedCounter[] = [];
  for (const [key, reading] of figures(after ?? [])) {
    const earlier = first.get(key);
    if (earlier === undefined || !metricInfo(reading.metric).damage) continue;
    const { metric, source } = reading;
    compared.push({ metric, before: earlier.value, after: reading.value, source });
  }
  const noFault = ({ metric }: ComparedCounter) =>
    metric === 'emergency-head-parks' ? powerCuts : 0;
  const state = (metric: string) => figures(after ?? []).get(keyOf({ metric }))?.value ?? null;
  return {
    comparedCount: compared.length,
    grown: compared.filter((one) => one.after > one.before + noFault(one)),
    aboveZero: compared.filter((one) => one.after > 0 && one.after <= one.before),
    driveSaysWell: state('drive-verdict') === 0,
    driveSaysFailing: state('drive-verdict') === 1,
    warnings: state('critical-warning'),
    enduranceUsed: state('endurance-used'),
  };
}

type Figure = Reading & { readonly value: number };

function figures(readings: readonly Reading[]): ReadonlyMap<string, Figure> {
  const found = new Map<string, Figure>();
  for (const reading of readings) {
    const { value } = reading;
    if (reading.state !== 'measured' || value === null || !Number.isFinite(value)) continue;
    found.set(keyOf(reading), { ...reading, value });
  }
  return found;
}

function keyOf(reading: { readonly metric: string; readonly place?: string }): string {
  return `${reading.metric}|${reading.place ?? ''}`;
}

/**
 * Reasons that follow from counters. Growth of a surface counter during the run and the drive's
 * own word that it is failing condemn it; growth of a cable, power or response counter, a level
 * above zero and other warnings ask for another look (common practice). Never throws.
 */
export function counterReasons(
  found: CounterComparison,
): readonly { readonly condemns: boolean; readonly reason: VerdictReason }[] {
  const grown = found.grown.map(({ metric, before, after, source }) => ({
    condemns: metricInfo(metric).damageCause === 'surface',
    reason: { code: `grew:${metric}`, measured: after - before, expected: 0, source },
  }));
  const aboveZero = found.aboveZero
    .filter(({ metric }) => metricInfo(metric).damageCause === 'surface')
    .map(({ metric, after, source }) => ({
      condemns: false,
      reason: { code: `above-zero:${metric}`, measured: after, expected: 0, source },
    }));
  return [...ownWord(found), ...grown, ...aboveZero, ...wear(found)];
}

function wear({ enduranceUsed }: CounterComparison) {
  if (enduranceUsed === null || !(enduranceUsed >= enduranceSpent)) return [];
  const source = 'the wear that the drive tells of itself';
  const code = 'endurance-spent';
  const reason = { code, measured: enduranceUsed, expected: enduranceSpent, source };
  return [{ condemns: false, reason }];
}

function ownWord(found: CounterComparison) {
  const source = 'the status that the drive gives of itself';
  const said: { condemns: boolean; reason: VerdictReason }[] = [];
  if (found.driveSaysFailing) {
    const reason = { code: 'drive-says-failing', measured: 1, expected: 0, source };
    said.push({ condemns: true, reason });
  }
  if (found.warnings !== null && found.warnings > 0) {
    const reason = { code: 'drive-warns', measured: found.warnings, expected: 0, source };
    said.push({ condemns: (found.warnings & condemningWarnings) !== 0, reason });
  }
  return said;
}
