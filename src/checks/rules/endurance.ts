import type { Check, CheckInput, SeriesHistory } from '../check.js';
import type { CheckResult } from '../finding.js';
import {
  absenceWords,
  cannotTell,
  evidenceOf,
  type NumberLook,
  numberLook,
  numberLooks,
  seriesOf,
} from '../history.js';
import { type BaselineMoment, baselineOf, isLater } from './growth-baseline.js';

const code = 'endurance-spent';

/** All that the maker made it for; the figure may pass it (NVM Express and ACS, from memory). */
const spentPercent = 100;
/** After a person knows of it, this much more is to be used until it is told again (our choice). */
const furtherPercent = 10;

/**
 * Claim: the drive has not used up the endurance that it is made for. Wear is to be planned for and
 * is no fault: faults are told by the drive's warnings and its damage counters. Opens at 100
 * percent by the drive's own word, told by one reading. Clears when a person accounts for it, and
 * then opens again 10 percent further; or when the drive tells less than 100. Silent for a drive
 * that tells no such figure.
 */
export const endurance: Check = {
  code,
  claim: 'The drive has not used up the endurance that it is made for',
  judge: (input) =>
    input.kind === 'drive'
      ? seriesOf(input, 'endurance-used')
          .filter((series) => numberLooks(series.looks).length > 0)
          .map((series) => judgeSeries(input, series))
      : [],
};

function judgeSeries(input: CheckInput, series: SeriesHistory): CheckResult {
  const about = {
    code,
    subject: input.subject,
    unit: 'percent',
    source: 'what the maker made it for, by the drive’s own reckoning',
    ...(series.place === '' ? {} : { place: series.place }),
  } as const;
  const last = numberLook(series.looks.at(-1));
  if (last === null) return cannotTell(about, absenceWords(series));
  const known = usedAt(series, baselineOf(input, code));
  const expected = known === null ? spentPercent : Math.max(spentPercent, known + furtherPercent);
  return {
    ...about,
    outcome: last.value >= expected ? 'short' : 'met',
    urgency: 'for-the-record',
    measured: last.value,
    expected,
    evidence: [evidenceOf('Endurance used', last, 'percent')],
  };
}

/** What was used when a person accounted for it; null when nobody did. */
function usedAt(series: SeriesHistory, moment: BaselineMoment | null): number | null {
  if (moment === null) return null;
  const until: readonly NumberLook[] = numberLooks(series.looks).filter(
    (look) => !isLater(look, moment),
  );
  return until.at(-1)?.value ?? null;
}
