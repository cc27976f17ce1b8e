import type { FC } from 'hono/jsx';
import { clockWords, dayWords, machineTime, momentWords } from '../../checks/moments.js';
import { formatDuration } from '../../checks/units.js';
import type { HistoryLine } from '../history.js';
import type { PageFacts } from '../page-facts.js';
import { Moment } from './time.js';

export interface HistoryPageProps {
  readonly facts: PageFacts;
  readonly lines: readonly HistoryLine[];
  readonly bootCount: number;
  readonly onMsSum: number;
  /** Page of the list, counted from 1, and how many there are. */
  readonly sheet: number;
  readonly sheets: number;
}

const kindWords: Readonly<Record<HistoryLine['kind'], string>> = {
  on: 'On',
  off: 'Box off',
  'agent-gap': 'On, agent stopped',
};

export const HistoryPage: FC<HistoryPageProps> = (props) => (
  <>
    <div class="title">
      <h1>Box history</h1>
      <p class="lede">
        {props.bootCount === 0
          ? 'No boot has been recorded yet.'
          : `${props.bootCount} ${props.bootCount === 1 ? 'boot' : 'boots'} recorded, ${formatDuration(props.onMsSum / 1000)} powered on in all.`}
      </p>
    </div>
    <section aria-label="Boots, newest first">
      {props.lines.map((line) => (
        <HistoryEntry line={line} />
      ))}
    </section>
    {props.sheets > 1 ? <Sheets {...props} /> : null}
  </>
);

const HistoryEntry: FC<{ line: HistoryLine }> = ({ line }) => (
  <article class={`entry history ${line.kind}`}>
    <p class="margin">{line.kind === 'on' ? `Boot ${line.boot}` : ''}</p>
    <div class="matter">
      <p>
        <strong>{kindWords[line.kind]}</strong> for{' '}
        {formatDuration((line.toMs - line.fromMs) / 1000)}
      </p>
      {line.kind === 'off' ? null : (
        <p class="quiet">
          <Moment wallMs={line.fromMs} /> to{' '}
          <time datetime={machineTime(line.toMs)}>{endWords(line)}</time>
          {line.wallTrusted ? '' : ' · the clock was not trusted, so this is an estimate'}
        </p>
      )}
    </div>
  </article>
);

function endWords({ fromMs, toMs }: HistoryLine): string {
  return dayWords(fromMs) === dayWords(toMs) ? clockWords(toMs) : momentWords(toMs);
}

const Sheets: FC<HistoryPageProps> = ({ sheet, sheets }) => (
  <nav class="sheets" aria-label="Further pages">
    {sheet > 1 ? <a href={`/history?sheet=${sheet - 1}`}>Newer</a> : null}
    <span>
      Sheet {sheet} of {sheets}
    </span>
    {sheet < sheets ? <a href={`/history?sheet=${sheet + 1}`}>Older</a> : null}
  </nav>
);
