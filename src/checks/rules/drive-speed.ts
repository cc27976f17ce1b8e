import type { Check, CheckInput } from '../check.js';
import type { CheckResult } from '../finding.js';
import { cannotTell, evidenceOf, newestNumber, openFinding, seriesOf } from '../history.js';
import { diskLinkCeiling } from '../model/ceilings.js';
import { formatBytes } from '../units.js';
import { judgePlaces, type PlaceVerdict } from './speed-places.js';

const code = 'drive-slow';

/**
 * Claim: at each measured place the drive reads as fast as expected of it, and no more than 12 %
 * slower than in its first complete run. Opens when one place is short in two runs running; clears
 * after two runs running in which all measured places are as expected (within 10 % of the first
 * run while a finding is open). Only complete runs without other load count: a drop of 10 to 15 %
 * at one place is more than zoned recording and noise explain (common practice, no source).
 * Cannot tell when the disk link runs slower than it could and that alone explains the speed.
 */
export const driveSpeed: Check = {
  code,
  claim: 'The drive reads as fast as expected at each measured place',
  judge: (input) => (input.kind === 'drive' && input.speeds.length > 0 ? [judge(input)] : []),
};

function judge(input: CheckInput): CheckResult {
  const about = {
    code,
    subject: input.subject,
    unit: 'bytes-per-second',
    source: 'the first complete run and the expected speed',
  } as const;
  const isOpen = openFinding(input, code) !== null;
  const { verdicts, why } = judgePlaces(input, { isOpen });
  const short = verdicts.filter((one) => one.outcome === 'short');
  const confirmed = short.filter((one) => !one.provisional);
  const shorts = confirmed.length > 0 ? confirmed : short;
  const worst = lowestShare(shorts);
  if (worst !== null) {
    const held = heldByLink(input, worst);
    if (held !== null) return cannotTell(about, held);
    const evidence = shorts.flatMap(evidenceRows);
    return {
      ...figures(about, worst),
      outcome: 'short',
      evidence,
      ...(confirmed.length > 0 ? {} : { provisional: true as const }),
    };
  }
  const met = verdicts.filter((one) => one.outcome === 'met');
  const closest = lowestShare(met);
  if (closest === null || met.length * 2 < verdicts.length) return cannotTell(about, why);
  const provisional = met.some((one) => one.provisional);
  return {
    ...figures(about, closest),
    outcome: 'met',
    evidence: evidenceRows(closest),
    ...(isOpen && provisional ? { provisional: true as const } : {}),
  };
}

type Told = Extract<PlaceVerdict, { readonly outcome: 'met' | 'short' }>;

function lowestShare(verdicts: readonly PlaceVerdict[]): Told | null {
  const told = verdicts.flatMap((one) => (one.outcome === 'unknown' ? [] : [one]));
  const share = (one: Told) => one.latest.bytesPerSecond / one.expected;
  return [...told].sort((one, other) => share(one) - share(other))[0] ?? null;
}

function figures(
  about: Pick<CheckResult, 'code' | 'subject' | 'unit' | 'source'>,
  verdict: Told,
): Omit<CheckResult, 'outcome' | 'evidence'> {
  return {
    ...about,
    urgency: 'soon',
    measured: verdict.latest.bytesPerSecond,
    expected: verdict.expected,
    source: verdict.source,
  };
}

function evidenceRows(verdict: Told) {
  const place = `At ${formatBytes(verdict.placeByte)}`;
  const rows = [
    evidenceOf(
      `${place}, newest run`,
      { ...verdict.latest.at, value: verdict.latest.bytesPerSecond },
      'bytes-per-second',
    ),
  ];
  const { baseline } = verdict;
  if (baseline === null) return rows;
  const first = { ...baseline.at, value: baseline.bytesPerSecond };
  return [evidenceOf(`${place}, first run`, first, 'bytes-per-second'), ...rows];
}

/** The link is below what both ends can do and the drive reaches what such a link carries. */
function heldByLink(input: CheckInput, worst: Told): string | null {
  const link = newestNumber(seriesOf(input, 'sata-link-speed')[0] ?? null);
  const possible = newestNumber(seriesOf(input, 'sata-link-speed-possible')[0] ?? null);
  if (link === null || possible === null || link.value >= possible.value) return null;
  const ceiling = diskLinkCeiling(link.value);
  if (ceiling === null || worst.latest.bytesPerSecond < ceiling.low * 0.85) return null;
  return `The disk link at ${link.value / 1e9} Gb/s holds the drive back, so its own speed cannot be told`;
}
