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
  numberLooks,
  seriesOf,
} from '../history.js';

const code = 'fan-stopped';

/** A fan that stands still for so long did not only start slowly. Our choice. */
const stillMs = 30 * 60_000;
const minimumLooks = 2;

/**
 * Claim: the fan turns. Expected: above 0, or the lowest speed that the board's controller names.
 * Opens when a fan that was seen turning within the last day shows less for two readings running
 * over 30 minutes; clears when two readings running are as expected. Silent for an input where no
 * fan was ever seen turning: nothing may be connected there. A fan that stops and starts by itself
 * cannot be told: many boards stop fans at rest (common practice).
 */
export const fanStopped: Check = {
  code,
  claim: 'The fan turns',
  judge: (input) => seriesOf(input, 'fan-speed').flatMap((series) => judgeFan(input, series)),
};

function judgeFan(input: CheckInput, series: SeriesHistory): readonly CheckResult[] {
  const limitSeries = companion(input, { metric: 'fan-speed-limit', place: series.place });
  const limit = limitSeries?.place === series.place ? newestNumber(limitSeries) : null;
  const numbers = numberLooks(series.looks);
  const isEnough = ({ value }: NumberLook) => value > 0 && value >= (limit?.value ?? 0);
  if (limit === null && !numbers.some(isEnough)) return [];
  const about = {
    code,
    subject: input.subject,
    unit: 'rpm',
    source: limit === null ? 'it was seen turning before' : (limitSeries?.source ?? ''),
    ...(series.place === '' ? {} : { place: series.place }),
  } as const;
  const last = numberLook(series.looks.at(-1));
  if (last === null) return [cannotTell(about, absenceWords(series))];
  if (limit === null && stopsByItself(numbers)) {
    return [cannotTell(about, 'It stops and starts by itself, as fans do that a board may stop')];
  }
  const name = fanName(series.place);
  const run = newestRun(numbers, isEnough);
  const first = run[0] ?? last;
  const isLong = last.boot === first.boot && last.monoMs - first.monoMs >= stillMs;
  const short = !isEnough(last);
  const confirmed = run.length >= minimumLooks && (isLong || !short);
  return [
    {
      ...about,
      outcome: short ? 'short' : 'met',
      urgency: 'soon',
      measured: last.value,
      expected: limit?.value ?? 1,
      evidence: [
        ...numbers
          .filter(isEnough)
          .slice(-1)
          .map((one) => evidenceOf('Last turning', one, 'rpm')),
        evidenceOf(`${name}, from then on`, first, 'rpm'),
        evidenceOf(`${name}, now`, last, 'rpm'),
      ],
      ...(confirmed ? {} : { provisional: true as const }),
    },
  ];
}

/** Chips and controllers often call a fan so already. */
function fanName(place: string): string {
  return /fan/i.test(place) ? place : `Fan ${place}`.trim();
}

type IsEnough = (look: NumberLook) => boolean;

/** The newest looks in a row on the same side as the last one. */
function newestRun(numbers: readonly NumberLook[], isEnough: IsEnough): readonly NumberLook[] {
  const last = numbers.at(-1);
  if (last === undefined) return [];
  const other = numbers.findLastIndex((look) => isEnough(look) !== isEnough(last));
  return numbers.slice(other + 1);
}

/** It stopped more than once in the looks at hand. */
function stopsByItself(numbers: readonly NumberLook[]): boolean {
  const stops = numbers.filter(
    (look, index) => look.value === 0 && index > 0 && (numbers[index - 1]?.value ?? 0) > 0,
  );
  return stops.length > 1;
}
