import type { PartRow } from '../agent/store/rows.js';
import { expectationsOf, type SpeedKnowledge } from '../checks/check-input.js';
import type { ExpectedSpeed } from '../checks/model/drive-speed.js';
import { formatBytesPerSecond } from '../checks/units.js';
import type { SpeedRun } from './speeds.js';

/** Speed by position as columns: x in bytes from the drive's start, speeds in bytes per second. */
export interface PlaceColumns {
  readonly x: readonly number[];
  readonly newest: readonly (number | null)[];
  readonly earlier: readonly (number | null)[] | null;
  readonly expectedLow: readonly (number | null)[] | null;
  readonly expectedHigh: readonly (number | null)[] | null;
}

/** Expected speed of a drive at a byte position, or the reason why nothing can be expected. */
export function expectedAt(part: PartRow, place: number, knowledge: SpeedKnowledge): ExpectedSpeed {
  const { speedAt, capacityBytes } = expectationsOf(part, knowledge);
  if (speedAt === null) return { unknown: 'No speed is expected of this kind of part' };
  if (capacityBytes === null || capacityBytes <= 0) {
    return { unknown: 'The capacity of the drive is not known' };
  }
  return speedAt(Math.min(1, place / capacityBytes));
}

/** What a run is compared with, in one sentence without a full stop. */
export function expectationWords(
  run: SpeedRun,
  parts: readonly PartRow[],
  knowledge: SpeedKnowledge,
): string {
  const name = run.path.startsWith('drive:') ? run.path.slice('drive:'.length) : null;
  const part = parts.find((one) => one.name === name);
  const first = run.rows[0];
  const last = run.rows.at(-1);
  if (part === undefined || first === undefined || last === undefined) {
    return 'No expectation is known for this path';
  }
  const start = expectedAt(part, first.place ?? 0, knowledge);
  const end = expectedAt(part, last.place ?? 0, knowledge);
  if ('unknown' in start) return `No expectation: ${start.unknown}`;
  if ('unknown' in end) return `No expectation: ${end.unknown}`;
  const inner = run.rows.length > 1 ? `, ${interval(end)} at its end` : '';
  return `Expected ${interval(start)} at its start${inner} (${start.source})`;
}

/** Columns of the newest run, the run before it where its places agree, and the expectation. */
export function placeColumns(
  runs: readonly SpeedRun[],
  part: PartRow,
  knowledge: SpeedKnowledge,
): PlaceColumns {
  const [newest, before] = runs;
  const rows = (newest?.rows ?? []).filter((row) => row.place !== undefined);
  const earlier = new Map((before?.rows ?? []).map((row) => [row.place, row.bytesPerSecond]));
  const expected = rows.map((row) => expectedAt(part, row.place ?? 0, knowledge));
  const known = expected.some((one) => 'low' in one);
  return {
    x: rows.map((row) => row.place ?? 0),
    newest: rows.map((row) => row.bytesPerSecond),
    earlier: before === undefined ? null : rows.map((row) => earlier.get(row.place) ?? null),
    expectedLow: known ? expected.map((one) => ('low' in one ? one.low : null)) : null,
    expectedHigh: known ? expected.map((one) => ('high' in one ? one.high : null)) : null,
  };
}

function interval({ low, high }: { readonly low: number; readonly high: number }): string {
  return `${formatBytesPerSecond(low)} to ${formatBytesPerSecond(high)}`;
}
