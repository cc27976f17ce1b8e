import type { FC } from 'hono/jsx';
import type { PartRow } from '../../agent/store/rows.js';
import { partHref } from '../part-name.js';
import type { ChartWanted } from '../part-view.js';

/** Ranges that the page offers, in days. */
export const chartRanges = [
  { days: 7, words: '7 days' },
  { days: 30, words: '30 days' },
  { days: 90, words: '90 days' },
  { days: 730, words: '2 years' },
] as const;

export interface HistoryChartsProps {
  readonly part: PartRow;
  readonly charts: readonly ChartWanted[];
  readonly days: number;
}

export const HistoryCharts: FC<HistoryChartsProps> = ({ part, charts, days }) => {
  if (charts.length === 0) return null;
  return (
    <section aria-labelledby="history">
      <h2 id="history">History</h2>
      <nav aria-label="Length of history">
        <ul class="line ranges">
          {chartRanges.map((range) => (
            <li>
              <a
                href={`${partHref(part.name)}?days=${range.days}#history`}
                aria-current={range.days === days ? 'true' : undefined}
              >
                {range.words}
              </a>
            </li>
          ))}
        </ul>
      </nav>
      <p class="quiet">
        Where the line is broken nothing was measured: the shaded stretches say why. Nothing is
        drawn through a gap.
      </p>
      {charts.map((chart) => (
        <Chart part={part} chart={chart} days={days} />
      ))}
    </section>
  );
};

const Chart: FC<{ part: PartRow; chart: ChartWanted; days: number }> = ({ part, chart, days }) => {
  const address = seriesHref(part.name, chart, days);
  return (
    <figure class="chart" data-chart="history" data-address={address} data-unit={chart.unit}>
      <figcaption>{chart.title}</figcaption>
      <div
        class="chart-place"
        role="img"
        aria-label={`${chart.title}, the last ${days} days`}
      ></div>
      <p class="chart-words" aria-live="polite">
        <a href={address}>The figures of this chart</a>
      </p>
    </figure>
  );
};

function seriesHref(name: string, chart: ChartWanted, days: number): string {
  const query = new URLSearchParams({ days: String(days) });
  if (chart.place !== '') query.set('place', chart.place);
  return `/api/series/${encodeURIComponent(name)}/${encodeURIComponent(chart.metric)}?${query}`;
}
