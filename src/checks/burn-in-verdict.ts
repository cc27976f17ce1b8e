import { type CounterComparison, compareCounters, counterReasons } from './burn-in-counters.js';
import type {
  Advice,
  BurnInStage,
  BurnInVerdict,
  PlaceErrorKind,
  VerdictReason,
} from './burn-in-result.js';
import { proofSentences } from './burn-in-words.js';
import type { Reading } from './reading.js';

/** How far one stage came, and what it met, by kind. */
export interface StageEvidence {
  readonly state: 'not-begun' | 'partly' | 'complete' | 'cut-short';
  readonly doneBytes: number;
  readonly errors: Readonly<Partial<Record<PlaceErrorKind, number>>>;
  readonly unlocatedBytes: number;
}

/** Everything that a verdict is made from. Null readings were not taken. */
export interface BurnInEvidence {
  readonly erases: boolean;
  readonly sizeBytes: number;
  readonly stages: Readonly<Record<BurnInStage, StageEvidence>>;
  readonly before: readonly Reading[] | null;
  readonly after: readonly Reading[] | null;
  readonly stoppedByPerson: boolean;
  /** Code of the loss that ended the run: `drive-gone`, `stuck`, …; null when none did. */
  readonly lostBy: string | null;
  /** How often the box lost power or was switched off hard during the run. */
  readonly powerCuts?: number;
  /** Sectors that had been confirmed and were gone after a power cut. */
  readonly lostAfterPowerCut: number;
  readonly temperatureHighest: number | null;
  readonly temperatureLimit: number | null;
  /** Thousandths of the surface that were slow in both passes. */
  readonly slowPlaces: number;
  /** Whether the drive can still be returned; null when no date is known. */
  readonly returnIsOpen: boolean | null;
}

type Weight = 'condemns' | 'asks-for-another-look';

interface Weighed {
  readonly weight: Weight;
  readonly reason: VerdictReason;
}

const dataSource = 'what this run wrote or read at each address';
const bytesOfDriveMemoryMax = 1024 ** 3;

/** Error kinds by what they say: a reason code, and whether one alone speaks against the drive. */
const errorMeaning: Readonly<Record<PlaceErrorKind, readonly [string, Weight]>> = {
  unreadable: ['unreadable-sectors', 'condemns'],
  unwritable: ['unwritable-sectors', 'condemns'],
  damaged: ['damaged-sectors', 'condemns'],
  misplaced: ['misplaced-sectors', 'condemns'],
  stale: ['lost-writes', 'condemns'],
  'other-drive': ['sectors-of-another-drive', 'condemns'],
  wrapped: ['false-capacity', 'condemns'],
  aborted: ['requests-aborted', 'asks-for-another-look'],
  'timed-out': ['requests-overdue', 'asks-for-another-look'],
};

/**
 * The verdict of a burn-in. `keep` needs everything at once: an erasing run that read, wrote and
 * compared every byte without an error, and damage counters that were measured before and after
 * and did not grow. A run that only reads never ends in `keep`. Figures that are missing or not
 * finite never speak for the drive. Errors of data, places and growing counters advise to return
 * the drive, or to replace it when its return date is over. A power cut is not held against it.
 * Thresholds: any error or growth during a run counts (common practice for second-hand drives).
 * Never throws.
 */
export function judgeBurnIn(evidence: BurnInEvidence): BurnInVerdict {
  const { before, after, powerCuts = 0 } = evidence;
  const counters = compareCounters(before, after, { powerCuts });
  const weighed = [
    ...errorReasons(evidence),
    ...lossReasons(evidence),
    ...counterWeights(counters),
  ];
  const isComplete = planned(evidence).every(
    (stage) => evidence.stages[stage].state === 'complete',
  );
  const missing = isComplete ? [] : [incomplete(evidence)];
  const withoutCounters = counters.comparedCount > 0 ? [] : [noCounters(evidence)];
  return {
    advice: advise(evidence, { weighed, isComplete, counters }),
    reasons: [...weighed.map(({ reason }) => reason), ...missing, ...withoutCounters],
    ...proofs(evidence, { isComplete, counters, weighed }),
  };
}

/**
 * Whether what was found already suffices to return the drive, so that a person may stop there.
 * Takes the same evidence as the verdict, at any moment of a run. Never throws.
 */
export function isEnoughToReturn(evidence: BurnInEvidence): boolean {
  return errorReasons(evidence).some(({ weight }) => weight === 'condemns');
}

interface Weighing {
  readonly weighed: readonly Weighed[];
  readonly isComplete: boolean;
  readonly counters: CounterComparison;
}

function advise(evidence: BurnInEvidence, found: Weighing): Advice {
  if (found.weighed.some(({ weight }) => weight === 'condemns')) {
    return evidence.returnIsOpen === false ? 'replace' : 'return';
  }
  if (!found.isComplete) return 'not-fully-tested';
  const isProven =
    evidence.erases &&
    found.weighed.length === 0 &&
    found.counters.comparedCount > 0 &&
    isWholeSurface(evidence, ['full-read', 'stamped-write', 'verify']);
  return isProven ? 'keep' : 'keep-check-again';
}

/** Written as a comparison that must be true, so that a figure that is no number proves nothing. */
function isWholeSurface(evidence: BurnInEvidence, stages: readonly BurnInStage[]): boolean {
  return stages.every((stage) => {
    const { doneBytes, unlocatedBytes } = evidence.stages[stage];
    return evidence.sizeBytes > 0 && doneBytes >= evidence.sizeBytes && unlocatedBytes === 0;
  });
}

function planned(evidence: BurnInEvidence): readonly BurnInStage[] {
  return evidence.erases ? ['full-read', 'stamped-write', 'verify'] : ['full-read'];
}

function errorReasons(evidence: BurnInEvidence): readonly Weighed[] {
  const sums = new Map<PlaceErrorKind, number>();
  for (const { errors } of Object.values(evidence.stages)) {
    for (const [kind, count] of Object.entries(errors)) {
      const known = kind as PlaceErrorKind;
      sums.set(known, (sums.get(known) ?? 0) + count);
    }
  }
  return [...sums]
    .filter(([, count]) => count !== 0)
    .map(([kind, count]) => {
      const [code, weight] = errorMeaning[kind];
      return { weight, reason: { code, measured: count, expected: 0, source: dataSource } };
    });
}

function lossReasons(evidence: BurnInEvidence): readonly Weighed[] {
  const found: Weighed[] = [];
  const add = (code: string, measured: number | null, expected: number | null, source: string) =>
    found.push({ weight: 'asks-for-another-look', reason: { code, measured, expected, source } });
  const unlocated = Object.values(evidence.stages).reduce(
    (sum, one) => sum + one.unlocatedBytes,
    0,
  );
  if (unlocated !== 0) add('bytes-not-located', unlocated, 0, dataSource);
  if (evidence.lostBy === 'drive-gone') add('drive-went-away', null, null, 'errors of the kernel');
  if (evidence.lostBy === 'stuck') add('drive-hung', null, null, 'deadlines of this run');
  if (evidence.lostAfterPowerCut !== 0) {
    add('flushed-data-lost', evidence.lostAfterPowerCut, 0, dataSource);
  }
  if (evidence.slowPlaces !== 0) {
    add('slow-places', evidence.slowPlaces, 0, 'neighbouring places in both passes of this run');
  }
  const { temperatureHighest, temperatureLimit } = evidence;
  if (temperatureHighest !== null && temperatureLimit !== null) {
    const isInside = temperatureHighest <= temperatureLimit;
    if (!isInside)
      add('too-hot', temperatureHighest, temperatureLimit, 'the limit of the drive itself');
  }
  return found;
}

function counterWeights(counters: CounterComparison): readonly Weighed[] {
  return counterReasons(counters).map(({ condemns, reason }) => ({
    weight: condemns ? 'condemns' : 'asks-for-another-look',
    reason,
  }));
}

function incomplete(evidence: BurnInEvidence): VerdictReason {
  const stages = planned(evidence);
  const done = stages.reduce((sum, stage) => sum + evidence.stages[stage].doneBytes, 0);
  const share = (done / (stages.length * evidence.sizeBytes)) * 100;
  return {
    code: 'stage-incomplete',
    measured: Number.isFinite(share) ? Math.floor(share) : null,
    expected: 100,
    source: 'journal of this run',
  };
}

function noCounters(evidence: BurnInEvidence): VerdictReason {
  const taken = [evidence.before, evidence.after].filter((readings) => readings !== null).length;
  return { code: 'no-counters', measured: taken, expected: 2, source: 'readings of this run' };
}

function proofs(
  evidence: BurnInEvidence,
  found: Weighing,
): Omit<BurnInVerdict, 'advice' | 'reasons'> {
  const { stages } = evidence;
  const says = proofSentences;
  const isClean = (stage: BurnInStage) =>
    stages[stage].state === 'complete' &&
    isWholeSurface(evidence, [stage]) &&
    Object.values(stages[stage].errors).every((count) => count === 0);
  const wasRead = isClean('full-read');
  const wasHeld = isClean('stamped-write') && isClean('verify');
  const standsStill = found.counters.comparedCount > 0 && found.counters.grown.length === 0;
  const pick = (...pairs: readonly (readonly [boolean, string])[]) =>
    pairs.filter(([applies]) => applies).map(([, sentence]) => sentence);
  return {
    proven: pick(
      [wasRead, says.everySectorRead],
      [wasHeld, says.everySectorHeld],
      [standsStill, says.countersStill],
      [found.counters.driveSaysWell, says.driveSaysWell],
    ),
    notProven: pick(
      [!wasRead, says.notEverySectorRead],
      [!wasHeld, says.notEverySectorHeld],
      [!standsStill, says.notCounters],
      [wasHeld && evidence.sizeBytes < bytesOfDriveMemoryMax, says.notPastCache],
      [true, says.notColdStart],
      [true, says.notOverTime],
    ),
    skipped: pick(
      [!evidence.erases, says.skippedWriting],
      [evidence.stoppedByPerson && !found.isComplete, says.skippedRest],
      [found.counters.comparedCount === 0, says.skippedCounters],
      [true, says.skippedSelfTest],
    ),
  };
}
