import type { Check, CheckInput, EventLook } from '../check.js';
import type { CheckResult, Evidence } from '../finding.js';
import { cannotTell } from '../history.js';
import { isAtStart } from '../inventory-changes.js';
import type { StartKind } from '../start-kind.js';
import { baselineOf, isLater } from './growth-baseline.js';

/** So many starts of the kind at which it was missing, all with the drive, clear. Our choice. */
const goodStarts = 3;

/**
 * Claim: the drive is found after each power-on. Opens when it was missing at the first look after
 * a power-on and there at the first look after a restart without one: a drive that a third power
 * pin with 3.3 V keeps off, whose lead sags while all spin up, or that comes too late. Clears when
 * it was there after 3 power-ons in a row. Cannot tell where no other drive tells how the box
 * started (see `startKinds`). Silent for a drive that was never missing at one start and back at
 * another. Source: SATA 3.3 power disable and staggered spin-up, from memory.
 */
export const absentAfterPowerOn = checkOf({
  code: 'absent-after-power-on',
  claim: 'The drive is found after each power-on',
  missingAt: 'power-on',
  backAt: 'restart',
});

/**
 * Claim: the drive is found after each restart. Opens when it was missing at the first look after a
 * restart without power-off and there at the first look after a power-on: a drive, bridge or card
 * that hangs until its power is cut. Clears when it was there after 3 restarts in a row. Cannot
 * tell and silent as `absentAfterPowerOn`. Common practice, no source.
 */
export const absentAfterRestart = checkOf({
  code: 'absent-after-restart',
  claim: 'The drive is found after each restart',
  missingAt: 'restart',
  backAt: 'power-on',
});

interface Rule {
  readonly code: string;
  readonly claim: string;
  readonly missingAt: StartKind;
  readonly backAt: StartKind;
}

function checkOf(rule: Rule): Check {
  return { code: rule.code, claim: rule.claim, judge: (input) => judgeStarts(input, rule) };
}

/** Missing at the first look of one boot, back at the first look of another. */
interface Absence {
  readonly missing: EventLook;
  readonly back: EventLook;
}

function judgeStarts(input: CheckInput, rule: Rule): readonly CheckResult[] {
  if (input.kind !== 'drive') return [];
  const absences = absencesOf(input.events);
  if (absences.length === 0) return [];
  const from = baselineOf(input, rule.code);
  const counted = absences.filter(({ back }) => from === null || isLater(back, from));
  const such = counted.filter((one) => isSuch(one, { input, rule }));
  const shared = sharedOf(rule, input);
  const last = such.at(-1);
  if (last === undefined) {
    const isTold = counted.every((one) => kindsOf(one, input).every((kind) => kind !== 'unknown'));
    return isTold ? [] : [cannotTell(shared, untold)];
  }
  const good = goodStartsSince(input, { from: last.back.boot, kind: rule.missingAt });
  const isOver = good >= goodStarts;
  const evidence = such.flatMap((one) => rowsOf(one, rule));
  const measured = isOver ? 0 : such.length;
  return [{ ...shared, evidence, outcome: isOver ? 'met' : 'short', measured }];
}

/** How each boot without the drive began, and then the one that had it back. */
function kindsOf({ missing, back }: Absence, { startKinds }: CheckInput): readonly StartKind[] {
  const boots = Array.from({ length: back.boot - missing.boot + 1 }, (_, at) => missing.boot + at);
  return boots.map((boot) => startKinds.get(boot) ?? 'unknown');
}

function isSuch(one: Absence, { input, rule }: { input: CheckInput; rule: Rule }): boolean {
  const kinds = kindsOf(one, input);
  const without = kinds.slice(0, -1);
  return kinds.at(-1) === rule.backAt && without.every((kind) => kind === rule.missingAt);
}

const untold =
  'It was missing at one start and there at another, but no other drive tells whether the box was switched on or only restarted';

function sharedOf({ code }: Rule, { subject }: CheckInput) {
  return {
    code,
    subject,
    urgency: 'soon',
    expected: 0,
    unit: 'count',
    source: 'what the first look of each boot found',
  } as const;
}

/** Starts of a kind after a boot at which the drive was there; one without it begins anew. */
function goodStartsSince(
  { startKinds, events, now, gone }: CheckInput,
  { from, kind }: { readonly from: number; readonly kind: StartKind },
): number {
  if (gone !== null) return 0;
  const missed = events.filter((event) => event.kind === 'part-missing' && event.boot > from);
  const since = Math.max(from, ...missed.map(({ boot }) => boot));
  const boots = [...startKinds].filter(
    ([boot, one]) => boot > since && boot <= now.boot && one === kind,
  );
  return boots.length;
}

/** Oldest first. An absence that ended in the middle of a boot says nothing about starts. */
function absencesOf(newestFirst: readonly EventLook[]): readonly Absence[] {
  const absences: Absence[] = [];
  let missing: EventLook | null = null;
  for (const event of newestFirst.toReversed()) {
    if (event.kind === 'part-missing') missing = isAtStart(event.text) ? event : null;
    if (event.kind !== 'part-back') continue;
    if (missing !== null && isAtStart(event.text)) absences.push({ missing, back: event });
    missing = null;
  }
  return absences;
}

const startWords: Readonly<Record<StartKind, string>> = {
  'power-on': 'a power-on',
  restart: 'a restart',
  unknown: 'a start',
};

function rowsOf({ missing, back }: Absence, { missingAt, backAt }: Rule): readonly Evidence[] {
  const row = (label: string, { boot, monoMs }: EventLook, value: number): Evidence => ({
    label,
    value,
    unit: 'count',
    boot,
    monoMs,
  });
  return [
    row(`Not found after ${startWords[missingAt]}`, missing, 0),
    row(`Found again after ${startWords[backAt]}`, back, 1),
  ];
}
