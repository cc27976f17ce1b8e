import type { Check, CheckInput, SeriesHistory } from '../check.js';
import type { CheckResult, Urgency } from '../finding.js';
import { absenceWords, cannotTell, evidenceOf, numberLook, seriesOf } from '../history.js';
import { metricTitle } from '../metrics.js';

/** Bit of the NVMe critical warning that speaks of temperature alone (NVMe 1.4 figure 93). */
const temperatureWarning = 2;

interface VerdictRule {
  readonly code: string;
  readonly claim: string;
  readonly metric: string;
  readonly source: string;
  /** Null when the value says neither: a self-test that was stopped, or none so far. */
  readonly isShort: (value: number, series: SeriesHistory) => boolean | null;
  readonly urgency: (value: number) => Urgency;
  /** A metric that tells the same in more detail where a part has it. */
  readonly unlessToldBy?: string;
}

/**
 * Claim: the drive does not say that it is failing. Its word counts at once, without a second.
 * Silent for a drive whose verdict is drawn from its warnings (NVMe): `driveWarns` tells those.
 */
export const driveSaysFailing = checkOf({
  code: 'drive-says-failing',
  claim: 'The drive does not say that it is failing',
  metric: 'drive-verdict',
  unlessToldBy: 'critical-warning',
  source: 'the drive’s own verdict',
  isShort: (value) => value !== 0,
  urgency: () => 'today',
});

/** Claim: the drive raises no warning (NVMe health log, critical warning, all bits 0). */
export const driveWarns = checkOf({
  code: 'drive-warns',
  claim: 'The drive raises no warning of its own',
  metric: 'critical-warning',
  source: 'the drive’s own warnings',
  isShort: (value) => value !== 0,
  urgency: (value) => (value === temperatureWarning ? 'soon' : 'today'),
});

/**
 * Claim: the newest self-test that ran to its end found no failure. ATA and SCSI results 3 to 8 are
 * failures (ACS-4 self-test execution status, SPC-4 self-test results; from memory), NVMe results 5
 * to 7 (NVMe 1.4 device self-test log; from memory). 0 passed; anything else was stopped or runs.
 */
export const selfTest = checkOf({
  code: 'self-test-failed',
  claim: 'The last self-test found no failure',
  metric: 'self-test-result',
  source: 'the drive’s self-test log',
  isShort: (value, series) => {
    if (value === 0) return false;
    const [first, last] = /nvme/i.test(series.source) ? [5, 7] : [3, 8];
    return value >= first && value <= last ? true : null;
  },
  urgency: () => 'today',
});

function checkOf(rule: VerdictRule): Check {
  return {
    code: rule.code,
    claim: rule.claim,
    judge: (input) => {
      const { unlessToldBy } = rule;
      if (unlessToldBy !== undefined && seriesOf(input, unlessToldBy).length > 0) return [];
      return seriesOf(input, rule.metric).map((one) => judgeCode(rule, input, one));
    },
  };
}

function judgeCode(rule: VerdictRule, input: CheckInput, series: SeriesHistory): CheckResult {
  const about = {
    code: rule.code,
    subject: input.subject,
    unit: 'code',
    source: rule.source,
    ...(series.place === '' ? {} : { place: series.place }),
  } as const;
  const last = numberLook(series.looks.at(-1));
  if (last === null) return cannotTell(about, absenceWords(series));
  const short = rule.isShort(last.value, series);
  if (short === null) return cannotTell(about, 'The newest self-test did not run to its end');
  return {
    ...about,
    outcome: short ? 'short' : 'met',
    urgency: rule.urgency(last.value),
    measured: last.value,
    expected: 0,
    evidence: [evidenceOf(metricTitle(rule.metric), last, 'code')],
  };
}
