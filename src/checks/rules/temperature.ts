import type { Check, CheckInput, SeriesHistory } from '../check.js';
import type { CheckResult } from '../finding.js';
import {
  absenceWords,
  cannotTell,
  companion,
  evidenceOf,
  type NumberLook,
  newestNumber,
  numberLook,
  openFinding,
  seriesOf,
} from '../history.js';

const code = 'too-warm';

/** Degrees below the drive's own limit from which a person should act (common practice). */
const marginCelsius = 5;
/** A finding stays open until the drive is this much cooler still. */
const returnCelsius = 2;
const staleMs = 6 * 3_600_000;
const clearLooks = 3;
const clearSpanMs = 30 * 60_000;

/**
 * Claim: the drive stays more than 5 degrees below the limit that it names itself.
 * Opens when two readings running, in this boot, are within 5 degrees (soon) or at the limit or
 * above (today). Clears after three readings running over at least 30 minutes that are more than 7
 * degrees below. Silent when the drive names no limit, is asleep, or was last read over 6 hours
 * ago.
 */
export const temperature: Check = {
  code,
  claim: 'The drive stays more than 5 degrees below its own temperature limit',
  judge: (input) =>
    input.kind === 'drive'
      ? seriesOf(input, 'temperature')
          .filter((series) => hasOwnLimit(input, series))
          .map((series) => judgeSeries(input, series))
      : [],
};

/**
 * A second sensor without a limit of its own would tell the same heat as another finding, and one
 * that never gave a number is none.
 */
function hasOwnLimit(input: CheckInput, series: SeriesHistory): boolean {
  const { place } = series;
  if (place === '') return true;
  const hasLimit = seriesOf(input, 'temperature-limit').some((one) => one.place === place);
  return hasLimit && newestNumber(series) !== null;
}

function judgeSeries(input: CheckInput, series: SeriesHistory): CheckResult {
  const limitSeries = companion(input, { metric: 'temperature-limit', place: series.place });
  const limit = newestNumber(limitSeries);
  const about = {
    code,
    subject: input.subject,
    unit: 'celsius',
    source: limitSeries?.source ?? 'the drive’s own limit',
    ...(series.place === '' ? {} : { place: series.place }),
    ...sharedAir(input),
  } as const;
  if (limit === null || limit.value <= 0) {
    return cannotTell(about, 'The drive names no temperature limit of its own');
  }
  const looks = series.looks.filter((look) => look.boot === input.now.boot);
  const [before, last] = [numberLook(looks.at(-2)), numberLook(looks.at(-1))];
  if (last === null) return cannotTell(about, absenceWords(series));
  const readMonoMs = looks.at(-1)?.lastMonoMs ?? last.monoMs;
  if (input.now.monoMs - readMonoMs > staleMs) {
    return cannotTell(about, 'The newest temperature is more than 6 hours old');
  }
  const two = before ?? (last.seenTwice ? last : null);
  if (two === null) return cannotTell(about, 'Two readings running are needed, there is one');
  const isOpen = openFinding(input, code, series.place) !== null || isToldOfCooling(input);
  return result({ about, limit, isOpen }, [two, last], looks.map(numberLook));
}

/** Drives in bays share their air; a card in a slot of its own does not. */
function sharedAir({ details, enclosure }: CheckInput) {
  return details.reachedBy === 'nvme' ? {} : { sharedPart: enclosure ?? 'box' };
}

/** While the cooling of several is the finding, each of them is held to the same return. */
function isToldOfCooling({ findings }: CheckInput): boolean {
  return findings.some(({ code: one, state }) => one === 'cooling-weak' && state === 'open');
}

interface Facts {
  readonly about: {
    readonly code: string;
    readonly subject: string;
    readonly unit: 'celsius';
    readonly source: string;
    readonly place?: string;
    readonly sharedPart?: string;
  };
  readonly limit: NumberLook;
  readonly isOpen: boolean;
}

function result(
  { about, limit, isOpen }: Facts,
  [before, last]: readonly [NumberLook, NumberLook],
  looks: readonly (NumberLook | null)[],
): CheckResult {
  const expected = limit.value - marginCelsius;
  const cooler = Math.min(before.value, last.value);
  const short = last.value >= expected;
  const provisional = short ? cooler < expected : isOpen && !isCoolAgain(looks, expected);
  return {
    ...about,
    outcome: short ? 'short' : 'met',
    urgency: cooler >= limit.value ? 'today' : 'soon',
    measured: last.value,
    expected,
    evidence: [
      evidenceOf('Temperature, reading before', before, 'celsius'),
      evidenceOf('Temperature, newest', last, 'celsius'),
      evidenceOf('The drive’s own limit', limit, 'celsius'),
    ],
    ...(provisional ? { provisional } : {}),
  };
}

/** Readings come every 5 to 120 minutes, so the newest cool ones are counted and timed. */
function isCoolAgain(looks: readonly (NumberLook | null)[], expected: number): boolean {
  const warm = looks.findLastIndex(
    (look) => look === null || look.value >= expected - returnCelsius,
  );
  const cool = looks.slice(warm + 1);
  const [first, last] = [cool[0] ?? null, cool.at(-1) ?? null];
  if (cool.length < clearLooks || first === null || last === null) return false;
  return last.monoMs - first.monoMs >= clearSpanMs;
}
