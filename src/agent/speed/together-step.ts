import type { DriveSeen } from '../../checks/part.js';
import type { Box } from '../box/box.js';
import { type Clock, fineMs } from '../clock.js';
import { expectedOf } from '../workers/prove-drive.js';
import type { StartWorker } from '../workers/worker.js';
import type { KernelCounters } from './kernel-counters.js';
import { countersOf, waitForQuiet } from './quiet-drives.js';

export interface StepTools {
  readonly box: Box;
  readonly clock: Clock;
  readonly startWorker: StartWorker;
  readonly isCancelled: () => boolean;
}

/** What drives that read at the same time gave. */
export interface StepResult {
  /** Bytes per second in the order of the drives; null for all when there is no figure. */
  readonly rates: readonly (number | null)[];
  /** Slowest and fastest sum of a slice of the window. */
  readonly low: number | null;
  readonly high: number | null;
  readonly seconds: number;
  /** Why there is no figure, or what disturbed it; null when nothing did. */
  readonly reason: string | null;
}

/** Everything is read from the outer edge, where a turning drive is fastest. */
const rangeBytesMax = 16 * 1024 ** 3;
const lookMs = 100;
const settleMs = 700;
const windowMs = 3000;
const slices = 6;
/** Longest wait until every drive gives its first bytes: a child has to start. */
const firstBytesMs = 20_000;
const taskSeconds = 60;
const quietLookMs = 300;

/**
 * Lets drives read at the same time, each in a child of its own, and takes their rates from the
 * kernel's counters over one window that begins when all of them have been reading for a while.
 */
export async function measureTogether(
  drives: readonly DriveSeen[],
  tools: StepTools,
): Promise<StepResult> {
  const quiet = await waitForQuiet(pathsOf(drives), { ...tools, lookMs: quietLookMs });
  if (!quiet) return nothing('Other work reaches the drives all the time');
  const started = await allCounters(drives, tools);
  if (started === null) return nothing('The kernel counts no requests of these drives');
  const workers = drives.map((drive) => startReading(drive, tools));
  try {
    const late = await waitForFirstBytes({ drives, started, workers }, tools);
    if (late !== null) return nothing(late);
    await tools.clock.sleep(settleMs);
    return await takeWindow({ drives, workers }, tools);
  } finally {
    for (const { worker } of workers) worker.cancel();
    await Promise.allSettled(workers.map(({ worker }) => worker.ended));
  }
}

function nothing(reason: string): StepResult {
  return { rates: [], low: null, high: null, seconds: 0, reason };
}

interface Reading {
  readonly worker: ReturnType<StartWorker>;
  /** Why it ended before it was asked to; null while it reads. */
  ended: string | null;
}

function startReading(drive: DriveSeen, { startWorker }: StepTools): Reading {
  const toByte = Math.min(drive.capacityBytes, rangeBytesMax);
  const task = { do: 'stream', drive: expectedOf(drive), fromByte: 0, toByte } as const;
  const worker = startWorker({ ...task, seconds: taskSeconds }, { onMessage: () => undefined });
  const reading: Reading = { worker, ended: null };
  worker.ended.then(({ text }) => {
    reading.ended = `Drive ${drive.id} stopped reading: ${text}`;
  });
  return reading;
}

async function allCounters(drives: readonly DriveSeen[], { box }: StepTools) {
  return countersOf(box, pathsOf(drives));
}

function pathsOf(drives: readonly DriveSeen[]): readonly string[] {
  return drives.map(({ devicePath }) => devicePath);
}

interface UnderWay {
  readonly drives: readonly DriveSeen[];
  readonly workers: readonly Reading[];
}

/** Why the drives do not all read, or null once each of them has given something. */
async function waitForFirstBytes(
  { drives, started, workers }: UnderWay & { readonly started: readonly KernelCounters[] },
  tools: StepTools,
): Promise<string | null> {
  const until = fineMs(tools.clock) + firstBytesMs;
  for (;;) {
    const trouble = troubleOf(workers, tools);
    if (trouble !== null) return trouble;
    const now = await allCounters(drives, tools);
    const behind = drives.find((_, at) => now?.[at]?.readBytes === started[at]?.readBytes);
    if (now !== null && behind === undefined) return null;
    if (fineMs(tools.clock) > until) {
      return `Drive ${behind?.id ?? ''} gave nothing within ${firstBytesMs / 1000} s`;
    }
    await tools.clock.sleep(lookMs);
  }
}

function troubleOf(workers: readonly Reading[], { isCancelled }: StepTools): string | null {
  if (isCancelled()) return 'The measurement was stopped';
  return workers.find(({ ended }) => ended !== null)?.ended ?? null;
}

interface Mark {
  readonly ms: number;
  readonly counters: readonly KernelCounters[];
}

async function takeWindow(way: UnderWay, tools: StepTools): Promise<StepResult> {
  const marks: Mark[] = [];
  for (let slice = 0; slice <= slices; slice += 1) {
    const counters = await allCounters(way.drives, tools);
    const trouble = troubleOf(way.workers, tools);
    if (counters === null || trouble !== null) return nothing(trouble ?? 'A drive went away');
    marks.push({ ms: fineMs(tools.clock), counters });
    if (slice < slices) await tools.clock.sleep(windowMs / slices);
  }
  const [first, last] = [marks[0], marks.at(-1)];
  if (first === undefined || last === undefined) return nothing('Nothing was measured');
  const sums = marks.slice(1).map((mark, at) => sumOf(ratesBetween(marks[at] ?? first, mark)));
  const written = last.counters.some(
    ({ writtenBytes }, at) => writtenBytes !== first.counters[at]?.writtenBytes,
  );
  return {
    rates: ratesBetween(first, last),
    low: Math.min(...sums),
    high: Math.max(...sums),
    seconds: (last.ms - first.ms) / 1000,
    reason: written ? 'Somebody wrote to a drive meanwhile' : null,
  };
}

function ratesBetween(from: Mark, to: Mark): readonly number[] {
  const seconds = (to.ms - from.ms) / 1000;
  return to.counters.map(
    ({ readBytes }, at) => (readBytes - (from.counters[at]?.readBytes ?? readBytes)) / seconds,
  );
}

function sumOf(rates: readonly number[]): number {
  return rates.reduce((sum, rate) => sum + rate, 0);
}
