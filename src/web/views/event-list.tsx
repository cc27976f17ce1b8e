import type { FC } from 'hono/jsx';
import type { EventRow, PartRow } from '../../agent/store/rows.js';
import { recordSource } from '../../checks/event.js';
import { formatBytes } from '../../checks/units.js';
import { partHref, partTitle } from '../part-name.js';
import { Moment } from './time.js';

/** Events, newest first; `parts` when they belong to several. */
export const EventList: FC<{
  events: readonly EventRow[];
  parts: readonly PartRow[] | null;
}> = ({ events, parts }) => (
  <ul class="sentences">
    {events.map((event) => (
      <li>
        <Moment wallMs={event.at.wallMs} />
        {`, boot ${event.at.boot}: `}
        {parts === null ? null : <Whose event={event} parts={parts} />}
        {event.text}
        {event.positionBytes === null
          ? null
          : `, at ${formatBytes(event.positionBytes)} from its start`}
        <Line event={event} />
      </li>
    ))}
  </ul>
);

/** The words of who told of it, for who wants to look them up; looks at the box keep states. */
const Line: FC<{ event: EventRow }> = ({ event: { record, kind } }) => {
  const source = recordSource(kind);
  if (record === '' || source === 'looks') return null;
  return (
    <details class="line">
      <summary>
        {source === 'kernel'
          ? 'Line of the kernel’s log'
          : 'As the controller or the kernel wrote it'}
      </summary>
      <code>{record}</code>
    </details>
  );
};

const Whose: FC<{ event: EventRow; parts: readonly PartRow[] }> = ({ event, parts }) => {
  const part = parts.find(({ id }) => id === event.partId);
  if (part === undefined) return <>{event.kind === 'log-gap' ? '' : 'A part not known here: '}</>;
  return (
    <>
      <a href={partHref(part.name)}>{partTitle(part)}</a>
      {': '}
    </>
  );
};
