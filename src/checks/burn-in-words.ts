import type { BurnInStage, PlaceErrorKind, VerdictReason } from './burn-in-result.js';
import { metricTitle } from './metrics.js';

/** Reasons of a verdict, each as one sentence with the counted figure put in for `%`. */
const reasonSentences: Readonly<Record<string, string>> = {
  'unreadable-sectors': '% sectors could not be read',
  'unwritable-sectors': '% sectors could not be written',
  'damaged-sectors': '% sectors gave back other data than was written',
  'misplaced-sectors': '% sectors held data that belongs elsewhere on the drive',
  'lost-writes': '% sectors still held what was there before: the writes did not arrive',
  'sectors-of-another-drive': '% sectors held what was written to another drive',
  'false-capacity':
    'Addresses go round: % sectors were overwritten by later ones, so the drive is smaller than it says',
  'requests-aborted': '% requests were broken off; a data cable or a controller can do that too',
  'requests-overdue': '% requests did not end in time',
  'bytes-not-located':
    '% bytes lie in failed requests whose bad sectors were not looked for further',
  'slow-places': '% of the thousandths of the surface were slow in both passes',
  'drive-went-away':
    'The drive went away during the run; power lead, data cable and controller come first',
  'drive-hung': 'The drive stopped answering and could not be freed',
  'flushed-data-lost': '% sectors that the drive had confirmed were gone after a power cut',
  'drive-says-failing': 'The drive itself says that it is failing',
  'drive-warns': 'The drive itself raises a warning (code %)',
  'endurance-spent':
    'The drive has used % % of the endurance that it is made for: wear, which is no fault',
  'too-hot': 'The drive reached % °C',
  'no-counters': 'The counters of the drive could not be compared before and after',
  'stage-incomplete': 'Only % % of the planned work was done',
};

/**
 * One sentence for a reason, with its figure. Growth and level of a counter are worded from the
 * metric in the code (`grew:METRIC`, `above-zero:METRIC`). An unknown code is shown as it is.
 * Never throws.
 */
export function wordReason(reason: VerdictReason): string {
  const figure = reason.measured === null ? 'an unknown number of' : String(reason.measured);
  const [kind, metric] = reason.code.split(':');
  if (metric !== undefined && kind === 'grew') {
    return `${metricTitle(metric)} grew by ${figure} during the run`;
  }
  if (metric !== undefined && kind === 'above-zero') {
    return `${metricTitle(metric)} stands at ${figure}, without growing during the run`;
  }
  const sentence = reasonSentences[reason.code];
  return sentence === undefined
    ? `${reason.code.replaceAll('-', ' ')} (${figure})`
    : sentence.replace('%', figure);
}

const stageWords: Readonly<Record<BurnInStage, string>> = {
  'readings-before': 'reading the counters before',
  'full-read': 'reading every sector',
  'stamped-write': 'writing every sector',
  verify: 'reading back and comparing',
  'readings-after': 'reading the counters after',
};

/** What is done in a stage, in lower case. */
export function wordStage(stage: BurnInStage): string {
  return stageWords[stage];
}

const errorKindWords: Readonly<Record<PlaceErrorKind, string>> = {
  unreadable: 'could not be read',
  damaged: 'gave back other data than was written',
  misplaced: 'held data that belongs elsewhere',
  stale: 'still held what was there before',
  'other-drive': 'held data of another drive',
  wrapped: 'were overwritten by a later address',
  unwritable: 'could not be written',
  aborted: 'broke off',
  'timed-out': 'did not answer in time',
};

/** What happened at a place, to follow "N sectors". */
export function wordErrorKind(kind: PlaceErrorKind): string {
  return errorKindWords[kind];
}

/** Sentences of the lists proven, notProven and skipped; the one place where they are worded. */
export const proofSentences = {
  everySectorRead: 'Every sector was read without an error',
  everySectorHeld: 'Every sector was written and gave back what was written',
  countersStill: 'No damage counter of the drive grew during the run',
  driveSaysWell: 'The drive itself does not say that it is failing',
  notEverySectorRead: 'That every sector can be read',
  notEverySectorHeld: 'That every sector keeps what is written to it',
  notCounters: 'That the counters of the drive stand still under load',
  notColdStart: 'That it starts from cold and holds data without power',
  notOverTime: 'That it stays so over months',
  notPastCache:
    'That every sector came from the medium: the drive is so small that its own memory may have answered',
  skippedWriting: 'Writing and comparing, since this run only read',
  skippedRest: 'The rest of the run, since it was stopped',
  skippedCounters: 'Comparing counters, since the way to the drive does not show them',
  skippedSelfTest: 'The self-test that is built into the drive',
  enoughToReturn: 'There is enough to return the drive; the run may be stopped here',
} as const;
