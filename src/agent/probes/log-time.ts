import type { LogRecord } from '../box/layouts/kernel-log.js';

/** The moment of a reading of the log, and how long the box had been suspended until then. */
export interface LogMoment {
  readonly bootMs: number;
  readonly suspendedMs: number;
}

/**
 * Records on the clock that everything else is kept by, which also runs while the box is
 * suspended. The log's own stamps come from the processor's clock: it stands still in a deep
 * suspend, and nobody sets it right, so that it drifts. What the box slept until the newest
 * suspend is added after its end, what it had slept before until then; with several suspends
 * between two readings the lines between them are too early. So whatever comes out is kept
 * between the two readings, since a line was written after the one and before the other. Pure.
 */
export function onBootClock(
  records: readonly LogRecord[],
  between: { readonly before: LogMoment | null; readonly now: LogMoment },
): readonly LogRecord[] {
  const { before, now } = between;
  const awoke = records.findLastIndex(({ text }) => suspendExit.test(text));
  const sleptBeforeMs = before?.suspendedMs ?? 0;
  const earliestMs = before?.bootMs ?? 0;
  return records.map((record, index) => {
    const sleptMs = index < awoke ? sleptBeforeMs : now.suspendedMs;
    const monoMs = Math.max(earliestMs, Math.min(record.monoMs + sleptMs, now.bootMs));
    return { ...record, monoMs };
  });
}

/** Source: Linux 6.1 kernel/power/suspend.c and hibernate.c. */
const suspendExit = /^PM: (?:suspend|hibernation: hibernation) exit/;
