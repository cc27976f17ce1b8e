import type { BootRow, ReadingRow } from '../agent/store/rows.js';
import { readingStateWords } from '../checks/state-words.js';
import { type BootPlace, placeBoots } from './boot-places.js';

/** A stretch without a figure, in calendar seconds, and why. */
export interface GapSpan {
  readonly from: number;
  readonly to: number;
  readonly why: string;
}

/** Columns as the chart wants them: x ascending in calendar seconds, y null where a gap is. */
export interface Columns {
  readonly x: readonly number[];
  readonly y: readonly (number | null)[];
  /** Lowest and highest figure behind a mean; the figure itself where there is only one. */
  readonly low: readonly (number | null)[];
  readonly high: readonly (number | null)[];
  readonly gaps: readonly GapSpan[];
}

export interface SeriesOptions {
  /** How far apart readings of this series are meant to be. */
  readonly periodMs: number;
}

const periodsWithoutReadingMax = 3;

interface Span {
  readonly row: ReadingRow;
  readonly startMs: number;
  readonly endMs: number;
  /** Where the figure is drawn: at both ends of a held stretch, in the middle of a mean's. */
  readonly atMs: readonly number[];
}

/**
 * Turns stored rows into chart columns. There is a gap wherever the box was off between two rows,
 * wherever more than three periods passed without a reading, and wherever the row itself is an
 * absence (asleep, no figure, not visible). Nothing is drawn through a gap. Rows come in order of
 * boot and steady time; rows of unknown boots are left out. Pure; never throws.
 */
export function seriesColumns(
  rows: readonly ReadingRow[],
  boots: readonly BootRow[],
  options: SeriesOptions,
): Columns {
  const places = placeBoots(boots);
  const spans = rows.flatMap((row) => spanOf(row, places));
  const writer = new ColumnWriter();
  spans.forEach((span, index) => {
    const next = spans[index + 1];
    const endMs = absenceEnd(span, next, places);
    if (span.row.state === 'measured' && span.row.value !== null) {
      writer.figure(span, span.row.value);
    } else {
      writer.gap(span.startMs, endMs, readingStateWords[span.row.state]);
    }
    if (next !== undefined) between({ span, next, places, options, writer });
  });
  return writer.columns();
}

function spanOf(row: ReadingRow, places: ReadonlyMap<number, BootPlace>): Span[] {
  const place = places.get(row.boot);
  if (place === undefined) return [];
  const startMs = place.startMs + row.monoMs;
  const endMs = Math.max(startMs, place.startMs + row.lastMonoMs);
  const isMean = row.low !== null || row.high !== null;
  const ends = endMs > startMs ? [startMs, endMs] : [startMs];
  return [{ row, startMs, endMs, atMs: isMean ? [(startMs + endMs) / 2] : ends }];
}

function absenceEnd(
  span: Span,
  next: Span | undefined,
  places: ReadonlyMap<number, BootPlace>,
): number {
  if (next !== undefined && next.row.boot === span.row.boot) return next.startMs;
  return Math.max(span.endMs, places.get(span.row.boot)?.endMs ?? span.endMs);
}

interface Between {
  readonly span: Span;
  readonly next: Span;
  readonly places: ReadonlyMap<number, BootPlace>;
  readonly options: SeriesOptions;
  readonly writer: ColumnWriter;
}

function between({ span, next, places, options, writer }: Between): void {
  const longestMs = periodsWithoutReadingMax * options.periodMs;
  const silent = (fromMs: number, toMs: number) => {
    if (toMs - fromMs > longestMs) writer.gap(fromMs, toMs, 'no reading');
  };
  if (next.row.boot === span.row.boot) {
    if (span.row.state === 'measured') silent(span.endMs, next.startMs);
    return;
  }
  const offMs = places.get(span.row.boot)?.endMs ?? span.endMs;
  const onMs = places.get(next.row.boot)?.startMs ?? next.startMs;
  if (span.row.state === 'measured') silent(span.endMs, offMs);
  writer.gap(Math.max(span.endMs, offMs), onMs, 'box off');
  silent(onMs, next.startMs);
}

/** Collects points and gaps; keeps x strictly ascending, which the chart needs. */
class ColumnWriter {
  readonly #x: number[] = [];
  readonly #y: (number | null)[] = [];
  readonly #low: (number | null)[] = [];
  readonly #high: (number | null)[] = [];
  readonly #gaps: GapSpan[] = [];

  figure({ row, atMs }: Span, value: number): void {
    for (const ms of atMs) this.#push(ms, [value, row.low ?? value, row.high ?? value]);
  }

  gap(fromMs: number, toMs: number, why: string): void {
    if (this.#y.length > 0 && this.#y.at(-1) !== null) this.#push(fromMs + 1, [null, null, null]);
    const last = this.#gaps.at(-1);
    const from = fromMs / 1000;
    const to = Math.max(fromMs, toMs) / 1000;
    if (last !== undefined && last.why === why && from <= last.to) {
      this.#gaps[this.#gaps.length - 1] = { from: last.from, to: Math.max(last.to, to), why };
      return;
    }
    this.#gaps.push({ from, to, why });
  }

  columns(): Columns {
    return { x: this.#x, y: this.#y, low: this.#low, high: this.#high, gaps: this.#gaps };
  }

  #push(ms: number, figures: readonly [number | null, number | null, number | null]): void {
    const previous = this.#x.at(-1);
    const x = ms / 1000;
    this.#x.push(previous !== undefined && x <= previous ? previous + 0.001 : x);
    this.#y.push(figures[0]);
    this.#low.push(figures[1]);
    this.#high.push(figures[2]);
  }
}
