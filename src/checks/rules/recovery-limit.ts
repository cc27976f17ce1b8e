import type { Check, CheckInput, Look } from '../check.js';
import type { CheckResult } from '../finding.js';
import { cannotTell, evidenceOf, type NumberLook, numberLook, ownSeries } from '../history.js';
import { saysNoLimit } from '../recovery-limit.js';

const code = 'recovery-limit-long';

/** What the kernel should wait for a drive without a limit: common practice, no source. */
const patienceMs = 180_000;

/**
 * Claim: the disk gives up on a bad place before the kernel gives up on the disk. Expected: its own
 * limit below the kernel's, or, for a disk without one, a kernel that waits 180 s (common practice,
 * Linux raid wiki on mismatched limits, from memory). Otherwise a disk that only tries long is
 * reset and thrown out of its array. The disk's limit is lost when the power goes, so only one read
 * in this boot counts. Silent for drives in no array, for solid state and NVMe drives.
 */
export const recoveryLimit: Check = {
  code,
  claim: 'The disk gives up on a bad place before the kernel gives up on the disk',
  judge: (input) => {
    const { kind, arrays, details } = input;
    if (kind !== 'drive' || arrays.length === 0) return [];
    if (details.rotating === false || details.reachedBy === 'nvme') return [];
    return judgeDisk(input);
  },
};

function judgeDisk(input: CheckInput): readonly CheckResult[] {
  const about = aboutOf(input);
  const kernel = thisBoot(input, 'kernel-time-limit');
  if (kernel === null) return [cannotTell(about, 'How long the kernel waits is not told')];
  const looks = ownSeries(input, 'error-recovery-time-limit')?.looks ?? [];
  const ofBoot = looks.filter(({ boot }) => boot === input.now.boot);
  const last = ofBoot.findLast(tellsLimit) ?? ofBoot.at(-1);
  if (last === undefined) {
    return [cannotTell(about, 'The limit of the disk was not read since the box was started')];
  }
  const waits = evidenceOf('The kernel waits', kernel, 'milliseconds');
  const own = numberLook(last);
  if (own !== null && own.value > 0) {
    const tries = evidenceOf('The disk tries', own, 'milliseconds');
    const figures = { measured: own.value, expected: kernel.value, evidence: [tries, waits] };
    return [{ ...about, ...figures, outcome: own.value < kernel.value ? 'met' : 'short' }];
  }
  if (!saysNoLimit(last.text)) {
    return [cannotTell(about, last.text || 'The disk did not tell its limit')];
  }
  const figures = { measured: kernel.value, expected: patienceMs, evidence: [waits] };
  return [{ ...about, ...figures, outcome: kernel.value >= patienceMs ? 'met' : 'short' }];
}

/** A look at a sleeping disk takes nothing away: it keeps its limit while it has power. */
function tellsLimit(look: Look): boolean {
  return numberLook(look) !== null || saysNoLimit(look.text);
}

function aboutOf({ subject, arrays: [array = ''] }: CheckInput) {
  return {
    code,
    subject,
    unit: 'milliseconds',
    urgency: 'soon',
    source: 'the kernel’s time limit, 180 s for a disk without a limit of its own',
    sharedPart: array,
  } as const;
}

function thisBoot(input: CheckInput, metric: string): NumberLook | null {
  const last = numberLook(ownSeries(input, metric)?.looks.at(-1));
  return last === null || last.boot !== input.now.boot || last.value <= 0 ? null : last;
}
