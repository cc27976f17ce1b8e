import type { Finding } from '../finding.js';
import { formatValue } from '../units.js';

/** What words of a finding may be made from. */
export type Told = Pick<
  Finding,
  'code' | 'measured' | 'expected' | 'unit' | 'source' | 'evidence'
> & {
  readonly place?: string;
};

/** Words of one code. The title has no full stop; the others are one or two whole sentences. */
export interface CodeWords {
  readonly title: string;
  readonly sentence: (told: Told) => string;
  readonly expected: (told: Told) => string;
  readonly nextStep: (told: Pick<Told, 'measured' | 'evidence' | 'place'>) => string;
}

export const copyFirst =
  'Copy off first what cannot be replaced, if this drive may hold the only copy; put no test on it before that';

/** "Expected: at most 4 (the value when …)." for figures that must not grow. */
export function atMost({ expected, unit, source }: Told): string {
  return `Expected: at most ${formatValue(expected, unit)} (${source}).`;
}

/** "Pending sectors (197) from 0 to 8": pairs of evidence rows, first and now. */
export function grownWords({ evidence, measured }: Pick<Told, 'evidence' | 'measured'>): string {
  const pairs = evidence.flatMap((row, index) => {
    const next = evidence[index + 1];
    if (!row.label.endsWith(', first') || next === undefined) return [];
    const title = row.label.slice(0, -', first'.length);
    const [from, to] = [formatValue(row.value, row.unit), formatValue(next.value, next.unit)];
    return [`${title} from ${from} to ${to}`];
  });
  return pairs.length > 0 ? pairs.join('; ') : `now ${formatValue(measured, 'count')}`;
}
