/**
 * The journal of a burn-in: the only memory that a run has.
 *
 * What is written, in what order: `intent` before a stretch may be written on the drive (durable
 * when the call returns); then the child writes and flushes the drive; then `progress` for what
 * was done; `result` when a stage is over; `event` for whatever else changes what comes next.
 * Reading stages have `progress` and `result` only.
 *
 * What a cut leaves: after an intent without progress, the range of the intent may hold old or
 * new content, and nothing outside of it was touched: it is written again. After a progress row,
 * everything up to its end was flushed: its last part is verified again before going on.
 */
import { z } from 'zod';
import { burnInStages, placeErrorKinds } from '../../checks/burn-in-result.js';
import type { Unit } from '../../checks/reading.js';
import type { JournalRow } from '../store/rows.js';

const whole = z.number().int().nonnegative();
const stage = z.enum(burnInStages);
const range = { fromByte: whole, toByte: whole };

const found = {
  seconds: z.number(),
  errors: z.array(z.object({ lba: whole, kind: z.enum(placeErrorKinds) })),
  unlisted: z.partialRecord(z.enum(placeErrorKinds), whole).optional(),
  unlocatedBytes: whole.optional(),
};

const reading = z.object({
  metric: z.string(),
  place: z.string().exactOptional(),
  value: z.number().nullable(),
  state: z.enum(['measured', 'asleep', 'no-figure', 'not-visible', 'box-off']),
  unit: z.custom<Unit>((unit) => typeof unit === 'string'),
  source: z.string(),
  why: z.string().exactOptional(),
  text: z.string().exactOptional(),
});

const intent = z.object({ stage, ...range, pass: whole });

const progress = z.object({
  stage,
  ...range,
  ...found,
  bytesPerSecond: z.number().nullable(),
  unknownAt: whole.optional(),
  places: z.array(z.object({ place: whole, bytes: whole, seconds: z.number() })).optional(),
});

const result = z.union([
  z.object({ stage: z.enum(['readings-before', 'readings-after']), readings: z.array(reading) }),
  z.object({ stage, outcome: z.literal('complete') }),
  z.object({ verdict: z.looseObject({ advice: z.string() }) }),
]);

const event = z.union([
  z.object({ event: z.literal('agreed'), text: z.string(), askedFrom: z.string() }),
  z.object({ event: z.literal('paused'), by: z.enum(['person', 'heat']), text: z.string() }),
  z.object({ event: z.literal('resumed'), by: z.enum(['person', 'heat']) }),
  z.object({ event: z.literal('stopped'), by: z.enum(['person', 'protection']), text: z.string() }),
  z.object({
    event: z.literal('restarted'),
    after: z.enum(['power-cut', 'stop-of-agent', 'end-of-agent']),
    text: z.string(),
  }),
  z.object({ event: z.literal('agent-stopped') }),
  z.object({ event: z.literal('recheck'), ...range, ...found }),
  z.object({ event: z.literal('rechecked'), ...range }),
  z.object({ event: z.literal('worker-failed'), code: z.string(), text: z.string() }),
  z.object({ event: z.literal('interrupted'), code: z.string(), text: z.string() }),
  z.object({ event: z.literal('temperature'), celsius: z.number(), limit: z.number().nullable() }),
  z.object({ event: z.literal('enough-to-return'), text: z.string() }),
]);

export type IntentBody = z.infer<typeof intent>;
export type ProgressBody = z.infer<typeof progress>;
export type ResultBody = z.infer<typeof result>;
export type EventBody = z.infer<typeof event>;

/** A row as the run understands it, before the store numbers and dates it. */
export type Entry =
  | { readonly kind: 'intent'; readonly body: IntentBody }
  | { readonly kind: 'progress'; readonly body: ProgressBody }
  | { readonly kind: 'result'; readonly body: ResultBody }
  | { readonly kind: 'event'; readonly body: EventBody };

const shapes = { intent, progress, result, event } as const;

/**
 * Reads a stored row back. Null for a row that this version does not understand: a run with such
 * a row must not be resumed, since nobody knows what it means for what is on the drive.
 */
export function decodeEntry(row: Pick<JournalRow, 'kind' | 'body'>): Entry | null {
  const decoded = shapes[row.kind].safeParse(row.body);
  return decoded.success ? ({ kind: row.kind, body: decoded.data } as Entry) : null;
}
