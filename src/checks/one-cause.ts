import type { CheckResult, Finding, Urgency } from './finding.js';
import type { Merged } from './judge-shared.js';

/** Findings of one code that tell of others, because the cause is the same. */
interface Telling {
  readonly by: string;
  readonly tells: readonly string[];
  /** Of the same part, of any part, or of parts that share the one that tells. */
  readonly of: 'the same' | 'any' | 'sharing';
  /** Only results with this place are told. */
  readonly place?: string;
  /** Only results about parts that share something are told. */
  readonly onlyShared?: true;
}

const board = ['board-reports-fault'];

/**
 * Which finding stands for which: the one nearer to the cause. Counters of a drive tell of what the
 * kernel's log says of it, a bad cable of the lower speed that it leads to, a fan that stands still
 * of the drives that it should cool, the kernel's own counts of what the board's controller logs.
 */
const tellings: readonly Telling[] = [
  { by: 'surface-damage-grew', tells: ['place-unreadable'], of: 'the same' },
  { by: 'cable-errors-grew', tells: ['link-trouble', 'disk-link-slower'], of: 'the same' },
  { by: 'answers-late', tells: ['link-trouble', 'commands-given-up'], of: 'the same' },
  { by: 'link-trouble', tells: ['commands-given-up'], of: 'the same' },
  { by: 'drive-given-up', tells: ['link-trouble', 'commands-given-up'], of: 'the same' },
  { by: 'disk-link-slower', tells: ['link-trouble'], of: 'the same' },
  { by: 'controller-link-errors', tells: ['link-trouble'], of: 'sharing' },
  { by: 'drives-dropped-together', tells: ['link-trouble'], of: 'sharing' },
  { by: 'fan-stopped', tells: ['cooling-weak'], of: 'any' },
  { by: 'fan-stopped', tells: ['too-warm'], of: 'any', onlyShared: true },
  { by: 'fan-stopped', tells: board, of: 'any', place: 'fan-fault' },
  { by: 'memory-errors', tells: board, of: 'any', place: 'memory-error' },
];

/**
 * Leaves out what another finding tells already, so that one cause is one finding: an open one that
 * is told closes as told elsewhere, and the one that tells is as urgent as the most urgent of both.
 * Pure.
 */
export function tellOnce({ results, toldElsewhere }: Merged, open: readonly Finding[]): Merged {
  const cooled = withoutHeatBit(withFans(results, open), open);
  const tellers = tellersOf(cooled, open);
  const toldBy = (result: CheckResult) => tellers.filter((teller) => tellsOf(teller, result));
  const told = cooled.filter((result) => toldBy(result).length > 0);
  const heat = results.filter((one) => isHeatWarning(one) && !cooled.includes(one));
  const gone = new Set(
    [...told, ...heat.filter(({ measured }) => measured === heatBit)].map(keyOf),
  );
  return {
    results: cooled
      .filter((one) => !told.includes(one))
      .map((one) =>
        asUrgentAs(
          one,
          told.filter((other) => tellsOf(one, other)),
        ),
      ),
    toldElsewhere: [...toldElsewhere, ...open.filter((one) => gone.has(keyOf(one)))],
  };
}

type Teller = Pick<CheckResult, 'code' | 'subject'> & Partial<Pick<CheckResult, 'tellsOf'>>;

/** Confirmed results below expected, and open findings that no result of this look closes. */
function tellersOf(results: readonly CheckResult[], open: readonly Finding[]): readonly Teller[] {
  const closing = results.filter((one) => one.outcome === 'met' && one.provisional !== true);
  const closed = new Set(closing.map(keyOf));
  return [
    ...results.filter((one) => one.outcome === 'short' && one.provisional !== true),
    ...open.filter((one) => !closed.has(keyOf(one))),
  ];
}

function tellsOf(teller: Teller, result: CheckResult): boolean {
  if (result.code === 'drive-missing') return teller.tellsOf?.includes(result.subject) === true;
  return tellings.some(
    ({ by, tells, of, place, onlyShared }) =>
      by === teller.code &&
      tells.includes(result.code) &&
      (place === undefined || place === result.place) &&
      (onlyShared !== true || result.sharedPart !== undefined) &&
      isOf(of, teller, result),
  );
}

function isOf(of: Telling['of'], { subject }: Teller, result: CheckResult): boolean {
  if (of === 'any') return true;
  if (of === 'the same') return result.subject === subject;
  return [result.sharedPart, ...(result.otherSharedParts ?? [])].includes(subject);
}

const order: readonly Urgency[] = ['today', 'soon', 'for-the-record'];

function asUrgentAs(result: CheckResult, told: readonly CheckResult[]): CheckResult {
  const short = told.filter(({ outcome }) => outcome === 'short');
  const urgencies = [result, ...short].map(({ urgency }) => urgency);
  return { ...result, urgency: order.find((one) => urgencies.includes(one)) ?? result.urgency };
}

/** Bit of the NVMe critical warning that speaks of temperature (NVMe 1.4 figure 93). */
const heatBit = 2;

function isHeatWarning({ code, outcome, measured }: CheckResult): boolean {
  return code === 'drive-warns' && outcome === 'short' && hasHeatBit(measured);
}

function hasHeatBit(measured: number | null): boolean {
  return measured !== null && Math.floor(measured / heatBit) % 2 === 1;
}

/**
 * A drive that is too warm by its own limit is told by that, also while the second reading is
 * awaited: its warning of the same heat is left out, and other warnings stay.
 */
function withoutHeatBit(
  results: readonly CheckResult[],
  open: readonly Finding[],
): readonly CheckResult[] {
  const isWarm = ({ subject }: CheckResult) =>
    results.some(
      (one) => one.code === 'too-warm' && one.subject === subject && one.outcome === 'short',
    ) || open.some((one) => one.code === 'too-warm' && one.subject === subject);
  return results.flatMap((result) => {
    if (!isHeatWarning(result) || !isWarm(result)) return [result];
    const measured = (result.measured ?? 0) - heatBit;
    return measured === 0 ? [] : [{ ...result, measured }];
  });
}

const isHeat = ({ code, outcome, sharedPart }: CheckResult) =>
  outcome === 'short' &&
  (code === 'cooling-weak' || (code === 'too-warm' && sharedPart !== undefined));

/**
 * Heat is the second witness of a fan that stands still: then no half hour is awaited. And what a
 * fan that turns again has left too warm is still its matter until it has cooled.
 */
function withFans(
  results: readonly CheckResult[],
  open: readonly Finding[],
): readonly CheckResult[] {
  const heat = results.filter(isHeat);
  if (heat.length === 0) return results;
  const isSure = heat.some(({ provisional }) => provisional !== true);
  const isOpen = (result: CheckResult) => open.some((one) => keyOf(one) === keyOf(result));
  return results.map((result) => {
    if (result.code !== 'fan-stopped') return result;
    if (result.outcome === 'met' && isOpen(result)) return { ...result, provisional: true };
    if (result.outcome !== 'short' || !isSure) return result;
    const { provisional: _, ...sure } = result;
    return sure;
  });
}

function keyOf({ code, subject, place }: Pick<CheckResult, 'code' | 'subject' | 'place'>): string {
  return JSON.stringify([code, subject, place ?? '']);
}
