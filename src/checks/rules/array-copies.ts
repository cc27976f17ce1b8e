import type { Check, CheckInput } from '../check.js';
import {
  absenceWords,
  cannotTell,
  evidenceOf,
  newestLook,
  numberLook,
  ownSeries,
} from '../history.js';
import { metricInfo } from '../metrics.js';

const code = 'array-copies-disagree';
/** Codes of what was done to the whole array, as in `arrayWorks`. */
const [check, repair] = [4, 5];

/**
 * Claim: the newest comparison of the array found all its copies alike. Expected: 0 sectors in the
 * kernel's mismatch_cnt after a comparison (Linux Documentation/admin-guide/md.rst). Soon for
 * levels with parity. For the record on mirrors: there a block that was given up while it was
 * written, as swap does, may differ without harm (md(4), from memory). Silent while a comparison
 * runs and until one was made; after a repair only the next comparison can tell.
 */
export const arrayCopies: Check = {
  code,
  claim: 'The newest comparison found all copies alike',
  judge: (input) => {
    const series = ownSeries(input, 'array-mismatches');
    if (input.kind !== 'array' || series === null) return [];
    const about = {
      code,
      subject: input.subject,
      unit: 'sectors',
      source: 'the kernel’s count after comparing, in whole pages',
    } as const;
    const lastWork = newestLook(input, 'array-last-work')?.value;
    const work = newestLook(input, 'array-work')?.value;
    const last = numberLook(series.looks.at(-1));
    if (work === check || work === repair) return [cannotTell(about, 'A comparison is running')];
    if (lastWork === repair) return [cannotTell(about, 'It was repaired and not compared since')];
    if (lastWork !== check) return [cannotTell(about, 'No comparison was made since it started')];
    if (last === null) return [cannotTell(about, absenceWords(series))];
    return [
      {
        ...about,
        outcome: last.value > 0 ? 'short' : 'met',
        urgency: isMirror(input) ? 'for-the-record' : 'soon',
        measured: last.value,
        expected: 0,
        evidence: [evidenceOf(metricInfo('array-mismatches').label, last, 'sectors')],
        ...(last.seenTwice ? {} : { provisional: true as const }),
      },
    ];
  },
};

function isMirror({ details }: CheckInput): boolean {
  return details.level === 'raid1' || details.level === 'raid10';
}
