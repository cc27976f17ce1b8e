import type { BlockHandle, Box } from '../box/box.js';
import { type Clock, fineMs } from '../clock.js';
import type { FromWorker, SpeedTask } from '../workers/protocol-types.js';
import { streamBlocks } from '../workers/stream-blocks.js';
import { readCounters } from './kernel-counters.js';
import { OtherLoad } from './other-load.js';
import { waitForQuiet } from './quiet-drives.js';

export type PlaceResult = Extract<FromWorker, { speed: unknown }>['speed'];

export interface MeasureTools {
  readonly box: Box;
  readonly clock: Clock;
  readonly mayGoOn: () => Promise<boolean>;
  readonly report: (result: PlaceResult) => void;
  readonly atByte: (byte: number) => void;
}

/** Time spent at one place, once at least two slices are read. */
const placeMsMax = 1500;
const slicesPerPlace = 16;
/** Shape of all our measured reading. */
export const requestBytesMax = 4 * 1024 * 1024;
export const requestsInFlight = 2;

/** A place that others disturb is tried again; the last try is kept whatever it met. */
const triesMax = 3;
const quietLookMs = 200;

/** Reads each place of the task in turn, past the page cache, and reports its rate. */
export async function measurePlaces(
  handle: BlockHandle,
  task: SpeedTask,
  tools: MeasureTools,
): Promise<void> {
  for (const place of task.places) {
    if (!(await tools.mayGoOn())) return;
    tools.atByte(place);
    tools.report(await measureWithRetries(handle, { place, task }, tools));
  }
}

interface OnePlace {
  readonly place: number;
  readonly task: SpeedTask;
}

async function measureWithRetries(
  handle: BlockHandle,
  one: OnePlace,
  tools: MeasureTools,
): Promise<PlaceResult> {
  const { devicePath } = one.task.drive.address;
  for (let attempt = 1; ; attempt += 1) {
    const isQuiet = await waitForQuiet([devicePath], { ...tools, lookMs: quietLookMs });
    const result = await measureOnce(handle, { ...one, yields: attempt < triesMax }, tools);
    const isDisturbed = (result.conditions.otherLoad ?? 0) > 0;
    if (attempt >= triesMax || !isDisturbed) {
      if (isDisturbed || !isQuiet) return withReason(result, 'Other requests reached the drive');
      return result;
    }
  }
}

function withReason(result: PlaceResult, reason: string): PlaceResult {
  return result.reason === undefined ? { ...result, reason } : result;
}

interface Mark {
  readonly ms: number;
  readonly bytes: number;
}

async function measureOnce(
  handle: BlockHandle,
  one: OnePlace & { readonly yields: boolean },
  tools: MeasureTools,
): Promise<PlaceResult> {
  const { place, task } = one;
  const toByte = Math.min(place + task.bytesPerPlace, handle.sizeBytes);
  const sliceBytes = Math.max(
    handle.logicalBlockBytes,
    Math.floor((toByte - place) / slicesPerPlace / 4096) * 4096,
  );
  const blockBytes = Math.min(requestBytesMax, sliceBytes);
  const { devicePath } = task.drive.address;
  const counters = await readCounters(tools.box, devicePath);
  const others = counters && new OtherLoad(counters, requestsInFlight * blockBytes);
  const marks: Mark[] = [];
  let failure: string | null = null;
  let disturbed = false;
  const started = fineMs(tools.clock);
  const doneTo = await streamBlocks({
    fromByte: place,
    toByte,
    blockBytes,
    slots: Array.from({ length: requestsInFlight }, () => ({
      buffer: handle.makeBuffer(blockBytes),
    })),
    mayGoOn: () =>
      !(disturbed && one.yields) &&
      (fineMs(tools.clock) - started < placeMsMax || marks.length < 3),
    issue: (slot, block) =>
      handle.read(block.fromByte, slot.buffer.subarray(0, block.toByte - block.fromByte)),
    finish: async (_slot, block, answer) => {
      if (!answer.ok) {
        failure = answer.absence.text;
        return 'lost';
      }
      const bytes = block.toByte - place;
      const last = marks.at(-1);
      if (last !== undefined && bytes - last.bytes < sliceBytes && block.toByte < toByte)
        return 'on';
      marks.push({ ms: fineMs(tools.clock), bytes });
      const now = others && (await readCounters(tools.box, devicePath));
      if (others && now) disturbed = others.addSlice(now, bytes, false) || disturbed;
      return 'on';
    },
  });
  const now = others && (await readCounters(tools.box, devicePath));
  // A last look with nothing in flight: what is left over now was certainly not ours.
  if (others && now && failure === null) others.addSlice(now, doneTo - place, true);
  const otherLoad = others?.share ?? null;
  return resultOf({ place, marks, failure, otherLoad });
}

function resultOf(run: {
  readonly place: number;
  readonly marks: readonly Mark[];
  readonly failure: string | null;
  readonly otherLoad: number | null;
}): PlaceResult {
  const { marks } = run;
  const rates = marks.slice(1).map((mark, index) => rateBetween(marks[index], mark));
  const finite = rates.filter((rate) => Number.isFinite(rate) && rate > 0);
  const whole = rateBetween(marks[0], marks.at(-1));
  const hasFigure = run.failure === null && finite.length > 0 && Number.isFinite(whole);
  const seconds = ((marks.at(-1)?.ms ?? 0) - (marks[0]?.ms ?? 0)) / 1000;
  const reason =
    run.failure ?? (hasFigure ? null : 'The place was read faster than the clock tells');
  return {
    direction: 'read',
    streams: 1,
    place: run.place,
    bytesPerSecond: hasFigure ? whole : null,
    low: hasFigure ? Math.min(...finite) : null,
    high: hasFigure ? Math.max(...finite) : null,
    seconds,
    conditions: { temperature: null, otherLoad: run.otherLoad, linkSpeed: null, lanes: null },
    complete: hasFigure,
    ...(reason === null ? {} : { reason }),
  };
}

/** Bytes per second between two moments; the first block's seek lies before the first mark. */
function rateBetween(from: Mark | undefined, to: Mark | undefined): number {
  if (from === undefined || to === undefined || to.ms <= from.ms) return Number.NaN;
  return ((to.bytes - from.bytes) * 1000) / (to.ms - from.ms);
}
