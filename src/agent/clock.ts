import { readFileSync } from 'node:fs';

/**
 * The only source of time. `bootMs` counts milliseconds since the kernel started, also through
 * suspend, and never steps; `wallMs` is the calendar and may step. Order is boot, then `bootMs`.
 */
export interface Clock {
  /** The kernel's name for this boot. */
  readonly bootId: string;
  bootMs(): number;
  wallMs(): number;
  sleep(ms: number): Promise<void>;
  /** As `bootMs`, but without the time that the box was suspended. */
  awakeMs?(): number;
  /** Milliseconds with fractions from some moment of this process, for durations inside it. */
  fineMs?(): number;
}

/** For durations within one run: the finest that this clock has. */
export function fineMs(clock: Clock): number {
  return clock.fineMs === undefined ? clock.bootMs() : clock.fineMs();
}

/** The system's clock: /proc/uptime follows CLOCK_BOOTTIME, to 10 ms; hrtime CLOCK_MONOTONIC. */
export function systemClock(): Clock {
  const bootId = readFileSync('/proc/sys/kernel/random/boot_id', 'utf8').trim();
  return {
    bootId,
    bootMs: () => Math.round(Number(readFileSync('/proc/uptime', 'utf8').split(' ')[0]) * 1000),
    wallMs: () => Date.now(),
    sleep: (ms) => new Promise((resolve) => setTimeout(resolve, ms)),
    awakeMs: () => Number(process.hrtime.bigint() / 1_000_000n),
    fineMs: () => performance.now(),
  };
}
