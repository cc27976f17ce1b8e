import type { StoreReader } from '../agent/store/store.js';
import { periodMsOf } from '../checks/periods.js';
import { type Columns, type GapSpan, seriesColumns } from './series.js';
import { thinColumns } from './series-thin.js';

export const daysDefault = 30;
/** Ten years; what is asked beyond that is refused. */
export const daysMax = 3660;
const pointsMax = 3000;
const dayMs = 24 * 3600_000;

export interface SeriesWanted {
  readonly name: string;
  readonly metric: string;
  readonly place: string;
  readonly days: number;
}

export interface SeriesAnswer extends Columns {
  /** Calendar seconds that the chart spans. */
  readonly from: number;
  readonly to: number;
  readonly gaps: readonly GapSpan[];
}

/** Columns of one series of one part over the last days, or null when there is no such series. */
export function seriesAnswer(
  store: StoreReader,
  wanted: SeriesWanted,
  nowMs: number,
): SeriesAnswer | null {
  const part = store.partByName(wanted.name);
  if (part === null) return null;
  const found = store.series(part.id, wanted.metric).filter((one) => one.place === wanted.place);
  const series = found.at(-1);
  if (series === undefined) return null;
  const fromMs = nowMs - wanted.days * dayMs;
  const columns = seriesColumns(store.readings(series.id, fromMs), store.boots(), {
    periodMs: periodMsOf(part.kind, wanted.metric),
  });
  return { from: fromMs / 1000, to: nowMs / 1000, ...thinColumns(columns, pointsMax) };
}
