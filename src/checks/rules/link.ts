import type { Check, CheckInput, SeriesHistory } from '../check.js';
import type { CheckResult, Urgency } from '../finding.js';
import {
  absenceWords,
  cannotTell,
  companion,
  evidenceOf,
  type NumberLook,
  newestNumber,
  numberLook,
  seriesOf,
} from '../history.js';
import { metricTitle } from '../metrics.js';

interface LinkRule {
  readonly code: string;
  readonly claim: string;
  readonly metric: string;
  /** Looks of this boot that must agree before anything opens, and before it clears. */
  readonly looksToOpen: number;
  readonly looksToClear: number;
  readonly urgency: (measured: number, possible: number) => Urgency;
}

/**
 * Claim: the disk link runs at the speed that both ends can do. After errors the kernel lowers a
 * link and the errors stop, so a slower link is the trace of a weak cable or plug. At 3 Gb/s a hard
 * drive is not slowed, so that is for the record; at 1.5 Gb/s it is (150 MB/s, 8b/10b).
 */
export const diskLink = checkOf({
  code: 'disk-link-slower',
  claim: 'The disk link runs at the speed that both ends can do',
  metric: 'sata-link-speed',
  looksToOpen: 2,
  looksToClear: 2,
  urgency: (measured) => (measured >= 3e9 ? 'for-the-record' : 'soon'),
});

/** Claim: as many lanes are trained as both ends have. Fewer mean dirt, seating or a dead lane. */
export const pciLanes = checkOf({
  code: 'pci-link-narrow',
  claim: 'As many lanes are connected as card and slot both have',
  metric: 'pci-link-lanes',
  looksToOpen: 2,
  looksToClear: 2,
  urgency: () => 'soon',
});

/**
 * Claim: at least one look of this boot saw the link at the speed that both ends can do. Many parts
 * lower their link at rest, so one slow look says nothing (common practice).
 */
export const pciSpeed = checkOf({
  code: 'pci-link-slower',
  claim: 'The PCI link was seen at the speed that both ends can do',
  metric: 'pci-link-speed',
  looksToOpen: 3,
  looksToClear: 1,
  urgency: () => 'for-the-record',
});

function checkOf(rule: LinkRule): Check {
  return {
    code: rule.code,
    claim: rule.claim,
    judge: (input) => seriesOf(input, rule.metric).map((one) => judgeLink(rule, input, one)),
  };
}

function judgeLink(rule: LinkRule, input: CheckInput, series: SeriesHistory): CheckResult {
  const metric = `${rule.metric}-possible`;
  const possibleSeries = companion(input, { metric, place: series.place });
  const possible = newestNumber(possibleSeries);
  const shared = rule.metric === 'sata-link-speed' ? input.controller : null;
  const about = {
    code: rule.code,
    subject: input.subject,
    unit: series.unit,
    source: possibleSeries?.source ?? 'what both ends can do',
    ...(series.place === '' ? {} : { place: series.place }),
    ...(shared === null ? {} : { sharedPart: shared }),
  };
  if (possible === null || possible.value <= 0) {
    return cannotTell(about, `What both ends can do is not known. ${absenceWords(possibleSeries)}`);
  }
  const looks = series.looks.filter((look) => look.boot === input.now.boot);
  const last = numberLook(looks.at(-1));
  if (last === null || last.value <= 0) return cannotTell(about, absenceWords(series));
  const short = isShort(rule, { last, looks: looks.map(numberLook), possible });
  const agreeing = countAgreeing(looks.map(numberLook), { possible, short });
  const needed = short ? rule.looksToOpen : rule.looksToClear;
  return {
    ...about,
    outcome: short ? 'short' : 'met',
    urgency: rule.urgency(last.value, possible.value),
    measured: last.value,
    expected: possible.value,
    evidence: [
      evidenceOf(metricTitle(metric), possible, series.unit),
      evidenceOf(metricTitle(rule.metric), last, series.unit),
    ],
    ...(agreeing >= needed ? {} : { provisional: true as const }),
  };
}

interface LinkLooks {
  readonly last: NumberLook;
  readonly looks: readonly (NumberLook | null)[];
  readonly possible: NumberLook;
}

/** A PCI speed is only short when no look of this boot saw it higher. */
function isShort(rule: LinkRule, { last, looks, possible }: LinkLooks): boolean {
  if (rule.metric !== 'pci-link-speed') return last.value < possible.value;
  return looks.every((look) => look === null || look.value < possible.value);
}

/** Looks at links are at most this far apart (our choice; the schedule keeps to it). */
const lookEveryMs = 5 * 60_000;

/** Newest looks in a row on the same side. A value that held for a while was seen several times. */
function countAgreeing(
  looks: readonly (NumberLook | null)[],
  { possible, short }: { readonly possible: NumberLook; readonly short: boolean },
): number {
  let count = 0;
  for (const look of [...looks].reverse()) {
    if (look === null || look.value < possible.value !== short) break;
    count += looksIn(look);
  }
  return count;
}

function looksIn({ seenTwice, seenForMs }: NumberLook): number {
  if (!seenTwice) return 1;
  return seenForMs >= 2 * lookEveryMs ? 3 : 2;
}
