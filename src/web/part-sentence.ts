import type { LatestReading, PartRow } from '../agent/store/rows.js';
import { capital } from '../checks/letters.js';
import { dayWords } from '../checks/moments.js';
import { partClauses } from '../checks/part-words.js';
import { asLastRead } from '../checks/seen-figure.js';
import { subjectTitle } from './part-name.js';

/** The state of a part in one sentence of what matters first. */
export function partSentence(
  { kind, details }: PartRow,
  latest: readonly LatestReading[],
  parts: readonly PartRow[] = [],
): string {
  if (latest.length === 0) return 'Nothing has been read from it yet.';
  const nameOf = (name: string) => subjectTitle(name, parts);
  const wording = { length: 'short', nameOf, dayOf: dayWords } as const;
  const text = partClauses({ kind, details, latest: latest.map(asLastRead) }, wording).join(' · ');
  return text === '' ? 'No figure could be read.' : `${capital(text)}.`;
}
