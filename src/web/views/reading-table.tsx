import type { FC } from 'hono/jsx';
import type { LatestReading } from '../../agent/store/rows.js';
import { metricInfo, metricTitle } from '../../checks/metrics.js';
import { readingStateWords } from '../../checks/state-words.js';
import { formatValue } from '../../checks/units.js';
import type { ReadingGroup } from '../part-readings.js';

import { Age } from './time.js';

export interface ReadingTableProps {
  readonly groups: readonly ReadingGroup[];
  /** Only on drives do the trade's attribute numbers mean anything. */
  readonly isDrive: boolean;
  /** The part is not there, so that nothing of it is of now. */
  readonly isGone: boolean;
  readonly nowMs: number;
}

interface ReadingRowProps {
  readonly reading: LatestReading;
  readonly isDrive: boolean;
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
        {group.readings.map((reading) => (
          <ReadingRow reading={reading} isDrive={props.isDrive} nowMs={props.nowMs} />
        ))}
      </tbody>
    ))}
  </table>
);

const ReadingRow: FC<ReadingRowProps> = ({ reading, isDrive, nowMs }) => (
  <tr>
    <th scope="row">
      {isDrive ? metricTitle(reading.metric) : metricInfo(reading.metric).label}
      {reading.place === '' ? null : <span class="place">{reading.place}</span>}
    </th>
    <td class={reading.text === '' ? 'number now' : 'number words now'}>{valueWords(reading)}</td>
    <td class="number growth">{growthWords(reading)}</td>
    <td class="state">
      {readingStateWords[reading.state]} <Age wallMs={reading.lastWallMs} nowMs={nowMs} />
      {reading.state !== 'measured' && reading.text !== '' ? (
        <span class="why">{reading.text}</span>
      ) : null}
    </td>
    <td class="source">{reading.source}</td>
  </tr>
);

/** Records of the drive's age side by side: far apart, they say that one was set back. */
export const HourCounters: FC<{ hours: readonly LatestReading[]; nowMs: number }> = (props) => (
  <table class="ledger hours">
    <caption>Hour counters</caption>
    <thead>
      <tr>
        <th scope="col">Record</th>
        <th scope="col" class="number">
          Hours
        </th>
        <th scope="col">Source</th>
      </tr>
    </thead>
    <tbody>
      {props.hours.map((reading) => (
        <tr>
          <th scope="row">{reading.place === '' ? 'Power-on hours' : reading.place}</th>
          <td class="number">{valueWords(reading)}</td>
          <td class="source">{reading.source}</td>
        </tr>
      ))}
    </tbody>
  </table>
);

function valueWords(reading: LatestReading): string {
  if (reading.value === null) return '–';
  const isState = reading.unit === 'code' || metricInfo(reading.metric).kind === 'state';
  if (isState && reading.text !== '') return reading.text;
  if (reading.unit === 'code') return `code ${reading.value}`;
  return formatValue(reading.value, reading.unit);
}

/** Growth of a counter or a figure of damage; other readings have none. */
function growthWords(reading: LatestReading): string {
  const { kind, damage } = metricInfo(reading.metric);
  if (kind !== 'counter' && !damage) return '';
  if (reading.value === null || reading.firstValue === null) return '–';
  const grown = reading.value - reading.firstValue;
  if (grown === 0) return 'no change';
  const sign = grown > 0 ? '+' : '−';
  return `${sign}${formatValue(Math.abs(grown), reading.unit)}`;
}
