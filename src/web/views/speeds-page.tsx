import type { FC } from 'hono/jsx';
import type { PartRow } from '../../agent/store/rows.js';
import { outcomeWords } from '../../checks/state-words.js';
import { formatValue } from '../../checks/units.js';
import type { PageFacts } from '../page-facts.js';
import { partHref } from '../part-name.js';
import { pathWords, rangeOf, type SpeedRun } from '../speeds.js';

import { Age } from './time.js';

export interface SpeedsPageProps {
  readonly facts: PageFacts;
  readonly runs: readonly SpeedRun[];
  readonly parts: readonly PartRow[];
  /** What each run is compared with, in words, or why there is nothing to compare with. */
  readonly expectationOf: (run: SpeedRun) => string;
}

export const SpeedsPage: FC<SpeedsPageProps> = ({ facts, runs, parts, expectationOf }) => (
  <>
    <div class="title">
      <h1>Speeds</h1>
      <p class="lede">
        The newest measurement of each path. Drives are measured by reading at fixed places along
        the surface, and give way to other work.
      </p>
    </div>
    {runs.length === 0 ? (
      <p>
        No speed has been measured yet. <code>bayward speed all</code> on the box measures every
        drive, reading only.
      </p>
    ) : null}
    <section aria-label="Newest measurement of each path">
      {runs.map((run) => (
        <SpeedEntry run={run} parts={parts} nowMs={facts.nowMs} expected={expectationOf(run)} />
      ))}
    </section>
  </>
);

interface SpeedEntryProps {
  readonly run: SpeedRun;
  readonly parts: readonly PartRow[];
  readonly nowMs: number;
  readonly expected: string;
}

const SpeedEntry: FC<SpeedEntryProps> = ({ run, parts, nowMs, expected }) => {
  const name = run.path.replace(/^drive:/, '');
  const known = parts.some((part) => part.name === name);
  const words = pathWords(run.path, parts);
  const limit = run.rows.find((row) => row.limit !== undefined)?.limit;
  const reasons = [...new Set(run.rows.flatMap((row) => row.reason ?? []))];
  return (
    <article class="entry">
      <p class="margin quiet">
        <Age wallMs={run.wallMs} nowMs={nowMs} />
      </p>
      <div class="matter">
        <h2>{known ? <a href={`${partHref(name)}#speed`}>{words}</a> : words}</h2>
        <p>
          {run.direction === 'read' ? 'Reading' : 'Writing'}: <strong>{figureOf(run)}</strong>
          {', '}
          <span class={run.verdict === 'short' ? 'short' : undefined}>
            {outcomeWords[run.verdict]}
          </span>
        </p>
        <p class="quiet">{expected}.</p>
        {limit === undefined ? null : (
          <p>
            Held back by {limit.part}: {limit.evidence}.
          </p>
        )}
        {reasons.map((reason) => (
          <p class="quiet">{reason}.</p>
        ))}
      </div>
    </article>
  );
};

function figureOf(run: SpeedRun): string {
  const last = run.rows.at(-1);
  if (last !== undefined && last.place === undefined) return togetherFigure(run, last);
  const range = rangeOf(run);
  if (range === null) return 'no figure';
  const low = formatValue(range.low, 'bytes-per-second');
  const high = formatValue(range.high, 'bytes-per-second');
  return low === high ? low : `${low} to ${high} over ${run.rows.length} places`;
}

/** Steps of growing groups: the largest one counts, the others stand in their reasons. */
function togetherFigure({ rows }: SpeedRun, last: SpeedRun['rows'][number]): string {
  const most = rows.reduce((one, row) => (row.streams >= one.streams ? row : one), last);
  if (most.bytesPerSecond === null) return 'no figure';
  return `${formatValue(most.bytesPerSecond, 'bytes-per-second')}, ${most.streams} drives together`;
}
