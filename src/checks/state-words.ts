import type { Advice } from './burn-in-result.js';
import type { ClearedWhy, FindingState, Outcome, Urgency } from './finding.js';
import type { ReadingState } from './reading.js';

/** Words of a reading's state, wherever it is shown. */
export const readingStateWords: Readonly<Record<ReadingState, string>> = {
  measured: 'measured',
  asleep: 'asleep',
  'no-figure': 'no figure',
  'not-visible': 'not visible',
  'box-off': 'box off',
};

/** Words of the result of one check. */
export const outcomeWords: Readonly<Record<Outcome, string>> = {
  met: 'as expected',
  short: 'below expected',
  unknown: 'cannot tell',
};

/** Words of how soon a person should act. */
export const urgencyWords: Readonly<Record<Urgency, string>> = {
  today: 'today',
  soon: 'soon',
  'for-the-record': 'for the record',
};

/** Words of the advice on a part. */
export const adviceWords: Readonly<Record<Advice, string>> = {
  keep: 'keep',
  'keep-check-again': 'keep, check again',
  return: 'return',
  replace: 'replace',
  'not-fully-tested': 'not fully tested',
};

/** Words of what ended a finding. */
export const clearedWords: Readonly<Record<ClearedWhy, string>> = {
  'as-expected': 'closed because the figures are as expected again',
  'accounted-for': 'closed because a person accounted for it',
  'told-elsewhere': 'closed because another finding tells of it now',
  'taken-out':
    'closed because the part is not in the box any more; if it returns so, this opens again',
};

export const findingStateWords: Readonly<Record<FindingState, string>> = {
  open: 'open',
  cleared: 'cleared',
};
