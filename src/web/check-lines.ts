import type { PartRow } from '../agent/store/rows.js';
import type { StoreReader } from '../agent/store/store.js';
import { catalogue } from '../checks/catalogue.js';
import { checkInputOf, type SpeedKnowledge } from '../checks/check-input.js';
import type { Outcome } from '../checks/finding.js';
import { wordResult } from '../checks/wording.js';

/** One check of one part, as it stands by the figures that are kept. */
export interface CheckLine {
  readonly claim: string;
  readonly place: string;
  readonly outcome: Outcome;
  /** As expected, below expected, or cannot tell with the reason. */
  readonly words: string;
}

const rank: Readonly<Record<Outcome, number>> = { short: 0, met: 1, unknown: 2 };

/**
 * Puts a part before every check, at the newest moment that is kept. A single look below expected
 * is shown here at once; a finding opens only when it lasts.
 */
export function checkLines(
  store: StoreReader,
  part: PartRow,
  knowledge: SpeedKnowledge,
): readonly CheckLine[] {
  const newest = [...store.boots()].sort((a, b) => b.id - a.id)[0];
  if (newest === undefined) return [];
  const now = { boot: newest.id, monoMs: newest.lastMonoMs, wallMs: newest.lastWallMs };
  const input = checkInputOf(part, {
    ...knowledge,
    figures: store,
    parts: store.parts(),
    findings: store.findings('all'),
    now,
  });
  return catalogue
    .flatMap((check) =>
      check.judge(input).map((result) => ({
        claim: check.claim,
        place: result.place ?? '',
        outcome: result.outcome,
        words: wordResult(result),
      })),
    )
    .sort((a, b) => rank[a.outcome] - rank[b.outcome]);
}
