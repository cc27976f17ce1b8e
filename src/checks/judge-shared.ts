import type { CheckResult, Evidence, Finding } from './finding.js';
import { sharedCodeOf } from './finding-codes.js';

/** Two drives count as failing together within this running time of one boot. */
const togetherMs = 24 * 3_600_000;
const drivesMin = 2;

export interface Merged {
  readonly results: readonly CheckResult[];
  /** Open findings about one drive that are now told by the one about its controller. */
  readonly toldElsewhere: readonly Finding[];
}

interface Group {
  readonly code: string;
  readonly part: string;
  readonly members: readonly CheckResult[];
}

/**
 * Turns trouble of two or more drives of one shared part (controller, power lead) at about the same
 * time (the same boot within 24 hours, or neighbouring boots) into one result about that part.
 * While such a finding is open, it stands for every drive of the part: it holds while one of them
 * is short, and is met when those that it names are. Drives that have nothing in common in their
 * first shared part are compared by the next. Everything else passes through as it came.
 */
export function mergeShared(results: readonly CheckResult[], open: readonly Finding[]): Merged {
  const depth = Math.max(0, ...results.map(({ otherSharedParts = [] }) => otherSharedParts.length));
  let merged = mergeBy({ results, open }, ({ sharedPart }) => sharedPart);
  for (let index = 0; index < depth; index += 1) {
    const next = mergeBy(
      { results: merged.results, open },
      ({ otherSharedParts }) => otherSharedParts?.[index],
    );
    merged = {
      results: next.results,
      toldElsewhere: [...merged.toldElsewhere, ...next.toldElsewhere],
    };
  }
  return { ...merged, results: merged.results.filter((one) => one.onlyTogether !== true) };
}

type PartOf = (result: CheckResult) => string | undefined;

function mergeBy(
  {
    results,
    open,
  }: { readonly results: readonly CheckResult[]; readonly open: readonly Finding[] },
  partOf: PartOf,
): Merged {
  const groups = groupsOf(results, partOf);
  const shared = groups.flatMap((group) => {
    const finding = open.find((one) => one.code === group.code && one.subject === group.part);
    const result = sharedResult(group, finding ?? null);
    return result === null ? [] : [{ group, result }];
  });
  const absorbed = new Set(shared.flatMap(({ group }) => group.members));
  const subjects = (group: Group) => new Set(group.members.map(({ subject }) => subject));
  const toldElsewhere = shared
    .filter(({ result }) => result.outcome === 'short' && result.provisional !== true)
    .flatMap(({ group }) =>
      open.filter(
        (one) => sharedCodeOf(one.code) === group.code && subjects(group).has(one.subject),
      ),
    );
  return {
    results: [
      ...results.filter((result) => !absorbed.has(result)),
      ...shared.map(({ result }) => result),
    ],
    toldElsewhere,
  };
}

function groupsOf(results: readonly CheckResult[], partOf: PartOf): readonly Group[] {
  const groups = new Map<string, { code: string; part: string; members: CheckResult[] }>();
  for (const result of results) {
    const code = sharedCodeOf(result.code);
    const part = partOf(result);
    if (code === null || part === undefined) continue;
    const key = JSON.stringify([code, part]);
    const group = groups.get(key) ?? { code, part, members: [] };
    group.members.push(result);
    groups.set(key, group);
  }
  return [...groups.values()];
}

/** Null when the drives of this group are to be told one by one. */
function sharedResult({ code, part, members }: Group, finding: Finding | null): CheckResult | null {
  const short = members.filter((one) => one.outcome === 'short' && one.provisional !== true);
  const together = failingTogether(short);
  if (finding === null && together.length < drivesMin) return null;
  if (short.length > 0) return shortResult({ code, part }, finding === null ? together : short);
  const allMet = isOver(members, finding);
  const about = { code, subject: part, urgency: 'soon', source: sourceOf(code) } as const;
  const figures = {
    measured: allMet ? 0 : null,
    expected: 0,
    unit: 'count',
    evidence: [],
  } as const;
  return allMet
    ? { ...about, ...figures, outcome: 'met' }
    : { ...about, ...figures, outcome: 'unknown', why: 'Not every drive of it can be told' };
}

/**
 * True when every drive that the finding names is as expected again. Drives that are not there any
 * more have no say, nor have others that cannot be told: only one that is short holds it.
 */
function isOver(members: readonly CheckResult[], finding: Finding | null): boolean {
  if (members.some(({ outcome }) => outcome === 'short')) return false;
  const isMet = (one: CheckResult) => one.outcome === 'met' && one.provisional !== true;
  const named = members.filter(({ subject }) =>
    finding?.evidence.some(({ label }) => label.startsWith(`${subject}: `)),
  );
  if (named.length > 0) return named.every(isMet);
  const drives = new Set(members.map(({ subject }) => subject)).size;
  return drives >= (finding?.measured ?? drivesMin) && members.every(isMet);
}

const sources: Readonly<Record<string, string>> = {
  'controller-link-errors': 'drives of one controller with link errors at about the same time',
  'drives-dropped-together':
    'drives that share a part and lost power or vanished at about the same time',
  'cooling-weak': 'drives that share their air and are near their own limits at the same time',
  'array-recovery-limits': 'members of one array that may try longer than the kernel waits',
};

function sourceOf(code: string): string {
  return sources[code] ?? 'parts that fail at about the same time';
}

function shortResult(
  { code, part }: { readonly code: string; readonly part: string },
  short: readonly CheckResult[],
): CheckResult {
  return {
    code,
    subject: part,
    outcome: 'short',
    urgency: short.some(({ urgency }) => urgency === 'today') ? 'today' : 'soon',
    measured: new Set(short.map(({ subject }) => subject)).size,
    expected: 0,
    unit: 'count',
    source: sourceOf(code),
    evidence: short.flatMap((one) =>
      one.evidence.map((row) => ({ ...row, label: `${one.subject}: ${row.label}` })),
    ),
  };
}

/** The drives whose newest evidence lies near that of another drive. */
function failingTogether(short: readonly CheckResult[]): readonly CheckResult[] {
  const near = short.filter((one) =>
    short.some((other) => other.subject !== one.subject && isNear(one, other)),
  );
  return new Set(near.map(({ subject }) => subject)).size >= drivesMin ? near : [];
}

function isNear(one: CheckResult, other: CheckResult): boolean {
  const [first, second] = [newestOf(one), newestOf(other)];
  if (first === null || second === null) return false;
  const boots = Math.abs(first.boot - second.boot);
  return boots === 1 || (boots === 0 && Math.abs(first.monoMs - second.monoMs) <= togetherMs);
}

function newestOf({ evidence }: CheckResult): Evidence | null {
  return evidence.reduce<Evidence | null>(
    (newest, row) => (newest === null || compareTimes(row, newest) > 0 ? row : newest),
    null,
  );
}

function compareTimes(one: Evidence, other: Evidence): number {
  return one.boot - other.boot || one.monoMs - other.monoMs;
}
