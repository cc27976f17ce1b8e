import type { FC } from 'hono/jsx';
import type { PartRow, SpeedRow } from '../../agent/store/rows.js';
import { outcomeWords } from '../../checks/state-words.js';
import { formatValue } from '../../checks/units.js';
import type { SpeedRun } from '../speeds.js';

import { Moment } from './time.js';

/** Speed by position along the drive: the newest run as a chart and as a table. */
export const SpeedAlong: FC<{ part: PartRow; runs: readonly SpeedRun[] }> = ({ part, runs }) => {
  const newest = runs[0];
  return (
    <section aria-labelledby="speed">
      <h2 id="speed">Speed by position</h2>
      {newest === undefined ? (
        <p>
          Not measured yet. <code>bayward speed drive {part.name}</code> on the box measures it,
          reading only.
        </p>
      ) : (
        <>
          <p>
            Measured <Moment wallMs={newest.wallMs} />, {newest.rows.length} places, reading only:{' '}
            <strong>{outcomeWords[newest.verdict]}</strong>. A turning drive is slower towards its
            end.
          </p>
          <figure
            class="chart"
            data-chart="places"
            data-address={`/api/speed/${encodeURIComponent(part.name)}`}
            data-unit="bytes-per-second"
          >
            <figcaption>Read speed from the start of the drive to its end</figcaption>
            <div class="chart-place" role="img" aria-label="Read speed by position"></div>
            <p class="chart-words"></p>
          </figure>
          <details>
            <summary>The figures of each place</summary>
            <PlaceTable run={newest} />
          </details>
        </>
      )}
    </section>
  );
};

const PlaceTable: FC<{ run: SpeedRun }> = ({ run }) => (
  <table class="ledger places">
    <thead>
      <tr>
        <th scope="col">Place</th>
        <th scope="col" class="number">
          Speed
        </th>
        <th scope="col" class="number">
          Slowest and fastest slice
        </th>
        <th scope="col">Result</th>
      </tr>
    </thead>
    <tbody>
      {run.rows.map((row) => (
        <tr>
          <th scope="row">
            {row.place === undefined ? 'whole' : `at ${formatValue(row.place, 'bytes')}`}
          </th>
          <td class="number" data-label="Speed">
            {speedWords(row.bytesPerSecond)}
          </td>
          <td class="number" data-label="Slowest and fastest slice">
            {speedWords(row.low)} – {speedWords(row.high)}
          </td>
          <td data-label="Result">{resultWords(row)}</td>
        </tr>
      ))}
    </tbody>
  </table>
);

function speedWords(value: number | null): string {
  return value === null ? 'no figure' : formatValue(value, 'bytes-per-second');
}

function resultWords(row: SpeedRow): string {
  const words = outcomeWords[row.verdict];
  return row.reason === undefined ? words : `${words}: ${row.reason}`;
}
