import type { CheckInput, Moment, SpeedLook } from '../check.js';

/** A usable measurement: complete, finite, and without other load. */
export interface UsableSpeed {
  readonly run: number;
  readonly placeByte: number;
  readonly bytesPerSecond: number;
  readonly at: Moment;
}

interface Judged {
  readonly placeByte: number;
  readonly latest: UsableSpeed;
  readonly baseline: UsableSpeed | null;
  /** The least that would have been as expected, and where that figure comes from. */
  readonly expected: number;
  readonly source: string;
  /** Seen in one run only. */
  readonly provisional: boolean;
}

/** What the runs so far say about one place. Speeds in bytes per second. */
export type PlaceVerdict =
  | ({ readonly outcome: 'met' } & Judged)
  | ({ readonly outcome: 'short' } & Judged)
  | { readonly outcome: 'unknown'; readonly placeByte: number; readonly why: string };

/** Share of the first run's speed that is still as expected; a little more to clear a finding. */
const keptShare = { toOpen: 0.88, toClear: 0.9 };
/** Share of measured seconds with requests of others that a comparison bears (common practice). */
const otherLoadMax = 0.05;

/**
 * Judges each place that the newest run measured against the drive's expectation and against the
 * first usable measurement of the same place. `why` says what is missing when nothing can be told.
 */
export function judgePlaces(
  input: CheckInput,
  options: { readonly isOpen: boolean },
): { readonly verdicts: readonly PlaceVerdict[]; readonly why: string } {
  const own = input.speeds.filter(
    (speed) =>
      speed.path === `drive:${input.subject}` && speed.direction === 'read' && speed.streams === 1,
  );
  const runs = [...new Set(own.map((speed) => speed.run))].sort((one, other) => one - other);
  const [before, newest] = [runs.at(-2), runs.at(-1)];
  const places = own.filter((speed) => speed.run === newest && speed.place !== undefined);
  const verdicts = places.map((look) => {
    const same = own.filter((speed) => speed.place === look.place);
    return judgePlace(input, { look, same, before, ...options });
  });
  const unknown = verdicts.find((one) => one.outcome === 'unknown');
  const why = unknown?.outcome === 'unknown' ? unknown.why : 'No place was measured';
  return { verdicts, why };
}

interface PlaceRuns {
  readonly look: SpeedLook;
  readonly same: readonly SpeedLook[];
  readonly before: number | undefined;
  readonly isOpen: boolean;
}

function judgePlace(input: CheckInput, { look, same, before, isOpen }: PlaceRuns): PlaceVerdict {
  const placeByte = look.place ?? 0;
  const latest = usable(look);
  if (typeof latest === 'string') return { outcome: 'unknown', placeByte, why: latest };
  const earlier = same
    .filter((speed) => speed.run < look.run)
    .map(usable)
    .filter((speed) => typeof speed !== 'string')
    .sort((one, other) => one.run - other.run);
  const baseline = earlier[0] ?? null;
  const least = leastExpected(input, { placeByte, baseline, isOpen });
  if ('why' in least) return { outcome: 'unknown', placeByte, why: least.why };
  const isShort = latest.bytesPerSecond < least.expected;
  const previous = earlier.find((speed) => speed.run === before) ?? null;
  const wasShort = previous === null ? null : previous.bytesPerSecond < least.expected;
  return {
    outcome: isShort ? 'short' : 'met',
    placeByte,
    latest,
    baseline,
    ...least,
    provisional: wasShort !== isShort,
  };
}

function usable(speed: SpeedLook): UsableSpeed | string {
  const { bytesPerSecond, conditions, run, at, place = 0 } = speed;
  if (!speed.complete) return `The run is not complete: ${speed.reason ?? 'no reason given'}`;
  if (bytesPerSecond === null || !Number.isFinite(bytesPerSecond) || bytesPerSecond <= 0) {
    return 'The run gave no speed';
  }
  if (conditions.otherLoad === null || !Number.isFinite(conditions.otherLoad)) {
    return 'Whether others used the drive during the run is not known';
  }
  if (conditions.otherLoad > otherLoadMax) return 'Others used the drive during the run';
  return { run, placeByte: place, bytesPerSecond, at };
}

interface LeastInput {
  readonly placeByte: number;
  readonly baseline: UsableSpeed | null;
  readonly isOpen: boolean;
}

/** The higher of what the expectation and the first run ask for. */
function leastExpected(
  input: CheckInput,
  { placeByte, baseline, isOpen }: LeastInput,
): { readonly expected: number; readonly source: string } | { readonly why: string } {
  const { speedAt, capacityBytes } = input.expectations;
  const fraction = capacityBytes === null ? Number.NaN : placeByte / capacityBytes;
  const expectation =
    speedAt === null || !Number.isFinite(fraction)
      ? { unknown: 'There is neither an expected speed nor an earlier run' }
      : speedAt(fraction);
  const share = isOpen ? keptShare.toClear : keptShare.toOpen;
  const kept =
    baseline === null
      ? null
      : { expected: baseline.bytesPerSecond * share, source: 'the first complete run here' };
  if ('unknown' in expectation) return kept ?? { why: expectation.unknown };
  const byClass = { expected: expectation.low, source: expectation.source };
  return kept !== null && kept.expected > byClass.expected ? kept : byClass;
}
