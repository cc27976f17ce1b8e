import type { CheckInput, Look, Moment, SeriesHistory } from './check.js';
import type { CheckResult, Evidence, Finding } from './finding.js';
import type { Unit } from './reading.js';
import { readingStateWords } from './state-words.js';

/** A look that gave a finite number. */
export interface NumberLook extends Moment {
  readonly value: number;
  /** At least two looks in the same boot saw this value. */
  readonly seenTwice: boolean;
  /** Time between the first and the last look that saw it. */
  readonly seenForMs: number;
}

/** Order of two moments: by boot, then by milliseconds since that boot; below 0 is earlier. */
export function compareMoments(one: Moment, other: Moment): number {
  return one.boot - other.boot || one.monoMs - other.monoMs;
}

/** The series of one metric, all places, in the given order. */
export function seriesOf(input: CheckInput, metric: string): readonly SeriesHistory[] {
  return input.series.filter((series) => series.metric === metric);
}

/** The series of one metric without a place, or null. */
export function ownSeries({ series }: CheckInput, metric: string): SeriesHistory | null {
  return series.find((one) => one.metric === metric && one.place === '') ?? null;
}

/** Newest look at a metric without a place, as a number; null when that look gave none. */
export function newestLook(input: CheckInput, metric: string): NumberLook | null {
  return numberLook(ownSeries(input, metric)?.looks.at(-1));
}

/** The same metric's companion at the same place, else the one without a place, else null. */
export function companion(
  input: CheckInput,
  { metric, place }: { readonly metric: string; readonly place: string },
): SeriesHistory | null {
  const all = seriesOf(input, metric);
  return all.find((one) => one.place === place) ?? all.find((one) => one.place === '') ?? null;
}

/** Looks with finite numbers, in order. A measured look without one counts as absent. */
export function numberLooks(looks: readonly Look[]): readonly NumberLook[] {
  return looks.flatMap((look) => {
    const number = numberLook(look);
    return number === null ? [] : [number];
  });
}

/** A look as a number, or null when it has none that is finite. */
export function numberLook(look: Look | undefined): NumberLook | null {
  if (look?.state !== 'measured' || look.value === null || !Number.isFinite(look.value)) {
    return null;
  }
  const { boot, monoMs, wallMs, value } = look;
  const seenForMs = Math.max(0, (look.lastMonoMs ?? monoMs) - monoMs);
  return { boot, monoMs, wallMs, value, seenTwice: seenForMs > 0, seenForMs };
}

/** Newest number of a series, whenever it was read, or null. */
export function newestNumber(series: SeriesHistory | null): NumberLook | null {
  return numberLooks(series?.looks ?? []).at(-1) ?? null;
}

/** Why the newest look of a series gives no number, in one sentence without its full stop. */
export function absenceWords(series: SeriesHistory | null): string {
  const last = series?.looks.at(-1);
  if (last === undefined) return 'It was never read';
  if (last.state !== 'measured') return `The newest reading is "${readingStateWords[last.state]}"`;
  return 'The newest reading is not a finite number';
}

/** An evidence row of a look. */
export function evidenceOf(
  label: string,
  {
    value,
    boot,
    monoMs,
  }: { readonly value: number; readonly boot: number; readonly monoMs: number },
  unit: Unit,
): Evidence {
  return { label, value, unit, boot, monoMs };
}

/** The open finding of this code on the subject, at this place, or null. */
export function openFinding(input: CheckInput, code: string, place = ''): Finding | null {
  const found = input.findings.find(
    (one) =>
      one.state === 'open' &&
      one.code === code &&
      one.subject === input.subject &&
      one.place === place,
  );
  return found ?? null;
}

type CannotTell = Pick<CheckResult, 'code' | 'subject' | 'unit' | 'source'> & {
  readonly place?: string;
  readonly sharedPart?: string;
};

/** A result that says that nothing can be told, and why. */
export function cannotTell(about: CannotTell, why: string): CheckResult {
  return {
    ...about,
    outcome: 'unknown',
    urgency: 'for-the-record',
    measured: null,
    expected: null,
    evidence: [],
    why,
  };
}
