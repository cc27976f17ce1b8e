import type { PartRow } from '../agent/store/rows.js';
import type { BoxModel } from '../checks/model/parse.js';
import type { SpeedRun } from './speeds.js';

/** Speed by position as columns: x in bytes from the drive's start, speeds in bytes per second. */
export interface PlaceColumns {
  readonly x: readonly number[];
  readonly newest: readonly (number | null)[];
  readonly earlier: readonly (number | null)[] | null;
  readonly expectedLow: readonly (number | null)[] | null;
  readonly expectedHigh: readonly (number | null)[] | null;
}

export function expectationWords(
  _run: SpeedRun,
  _known: { readonly model: BoxModel | null; readonly parts: readonly PartRow[] },
): string {
  return 'No expectation is known for this path';
}

/** Columns of the newest run, the run before it where its places agree, and the expectation. */
export function placeColumns(
  runs: readonly SpeedRun[],
  _known: { readonly model: BoxModel | null; readonly part: PartRow },
): PlaceColumns {
  const [newest, before] = runs;
  const rows = (newest?.rows ?? []).filter((row) => row.place !== undefined);
  const earlier = new Map((before?.rows ?? []).map((row) => [row.place, row.bytesPerSecond]));
  return {
    x: rows.map((row) => row.place ?? 0),
    newest: rows.map((row) => row.bytesPerSecond),
    earlier: before === undefined ? null : rows.map((row) => earlier.get(row.place) ?? null),
    expectedLow: null,
    expectedHigh: null,
  };
}
