import type { FC } from 'hono/jsx';
import type { LatestReading } from '../../agent/store/rows.js';
import { growthOf } from '../../checks/growth.js';
import { metricInfo, metricTitle } from '../../checks/metrics.js';
import { dayWords } from '../../checks/moments.js';
import { asLastRead } from '../../checks/seen-figure.js';
import { readingStateWords } from '../../checks/state-words.js';
import type { FigureGroup } from '../../checks/subjects.js';
import { valueWords } from '../reading-words.js';
import { Age } from './time.js';

export interface ReadingTableProps {
  readonly groups: readonly FigureGroup<LatestReading>[];
  /** Only on drives do the trade's attribute numbers mean anything. */
  readonly isDrive: boolean;
  /** The part is not there, so that nothing of it is of now. */
  readonly isGone: boolean;
  /** Where the bytes of a figure are shown; null where none are kept. */
  readonly bytesOf: BytesOf;
  readonly nowMs: number;
}

export type BytesOf = (reading: LatestReading) => string | null;

interface ReadingRowProps {
  readonly reading: LatestReading;
  readonly isDrive: boolean;
  readonly bytesOf: BytesOf;
  readonly nowMs: number;
}

/** All readings of a part in groups: the figure, how it grew, its state, where it comes from. */
export const ReadingTable: FC<ReadingTableProps> = (props) => (
  <table class="ledger readings">
    <thead>
      <tr>
        <th scope="col">Reading</th>
        <th scope="col" class="number">
          {props.isGone ? 'When last read' : 'Now'}
        </th>
        <th scope="col" class="number">
          Since first seen
        </th>
        <th scope="col">State</th>
        <th scope="col">Source</th>
      </tr>
    </thead>
    {props.groups.map((group) => (
      <tbody>
        <tr class="group-row">
          <th scope="rowgroup" colspan={5}>
            {group.title}
          </th>
        </tr>
        {group.figures.map((reading) => (
          <ReadingRow {...props} reading={reading} />
        ))}
      </tbody>
    ))}
  </table>
);

const ReadingRow: FC<ReadingRowProps> = ({ reading, isDrive, bytesOf, nowMs }) => (
  <tr>
    <th scope="row">
      {isDrive ? metricTitle(reading.metric) : metricInfo(reading.metric).label}
      {reading.place === '' ? null : <span class="place">{reading.place}</span>}
    </th>
    <td class={reading.text === '' ? 'number now' : 'number words now'}>
      <Value reading={reading} href={bytesOf(reading)} />
    </td>
    <td class="number words growth">
      <Grown reading={reading} />
    </td>
    <td class="state">
      {readingStateWords[reading.state]} <Age wallMs={reading.lastWallMs} nowMs={nowMs} />
      <BeforeSleep reading={reading} nowMs={nowMs} />
      {reading.text !== '' && reading.text !== valueWords(reading) ? (
        <span class="why">{reading.text}</span>
      ) : null}
    </td>
    <td class="source">{reading.source}</td>
  </tr>
);

/** Says from when a figure is that stands here although the drive sleeps. */
const BeforeSleep: FC<{ reading: LatestReading; nowMs: number }> = ({ reading, nowMs }) => {
  if (asLastRead(reading) === reading || reading.beforeSleep === undefined) return null;
  return (
    <span class="why">
      The figure is of the last look, <Age wallMs={reading.beforeSleep.lastWallMs} nowMs={nowMs} />
    </span>
  );
};

/** A figure leads to the bytes that it was read from, where they are kept. */
const Value: FC<{ reading: LatestReading; href: string | null }> = ({ reading, href }) =>
  href === null ? (
    <span>{valueWords(asLastRead(reading))}</span>
  ) : (
    <a class="to-bytes" href={href}>
      {valueWords(asLastRead(reading))}
      <span class="visually-hidden">, its bytes</span>
    </a>
  );

const Grown: FC<{ reading: LatestReading }> = ({ reading }) => {
  const growth = growthOf(asLastRead(reading), dayWords);
  return growth === null ? null : (
    <>
      {growth.amount}{' '}
      <span class="since">
        {growth.since}
        {growth.first === null ? null : (
          <>
            , <span class="whole">{growth.first}</span>
          </>
        )}
      </span>
    </>
  );
};

/** Records of the drive's age side by side: far apart, they say that one was set back. */
export const HourCounters: FC<{
  hours: readonly LatestReading[];
  bytesOf: BytesOf;
}> = (props) => (
  <table class="ledger hours">
    <caption>Hour counters</caption>
    <thead>
      <tr>
        <th scope="col">Record</th>
        <th scope="col" class="number">
          Hours
        </th>
        <th scope="col" class="number">
          Since first seen
        </th>
        <th scope="col">Source</th>
      </tr>
    </thead>
    <tbody>
      {props.hours.map((reading) => (
        <tr>
          <th scope="row">{reading.place === '' ? 'Power-on hours' : reading.place}</th>
          <td class="number">
            <Value reading={reading} href={props.bytesOf(reading)} />
          </td>
          <td class="number words growth">
            <Grown reading={reading} />
          </td>
          <td class="source">{reading.source}</td>
        </tr>
      ))}
    </tbody>
  </table>
);
