import type { Clock } from '../../src/agent/clock.js';

/**
 * Time that passes only by waiting: when everything that runs waits for the clock, it jumps to
 * the earliest wait. `pass` lets time go by with nobody waiting; `boot` switches off and on.
 */
export interface SimClock extends Clock {
  bootId: string;
  fineMs(): number;
  pass(ms: number): void;
  boot(bootId: string, offMs: number): void;
  /** Waits that have not come to their end. */
  waiting(): number;
}

interface Wait {
  readonly untilMs: number;
  readonly end: () => void;
}

export function makeSimClock(startWallMs: number): SimClock {
  let monoMs = 0;
  let wallMs = startWallMs;
  let waits: Wait[] = [];
  let jumping = false;

  function moveTo(target: number): void {
    wallMs += target - monoMs;
    monoMs = target;
  }

  // Promises settle before setImmediate comes round, so whoever wants to wait has said so by then.
  function jumpSoon(): void {
    if (jumping) return;
    jumping = true;
    setImmediate(() => {
      jumping = false;
      const next = waits.toSorted((left, right) => left.untilMs - right.untilMs)[0];
      if (!next) return;
      waits = waits.filter((wait) => wait !== next);
      moveTo(Math.max(monoMs, next.untilMs));
      next.end();
      jumpSoon();
    });
  }

  const clock: SimClock = {
    bootId: 'boot-1',
    bootMs: () => Math.floor(monoMs),
    wallMs: () => Math.floor(wallMs),
    fineMs: () => monoMs,
    sleep: (ms) =>
      new Promise((resolve) => {
        waits.push({ untilMs: monoMs + Math.max(0, ms), end: resolve });
        jumpSoon();
      }),
    pass: (ms) => moveTo(monoMs + ms),
    boot(bootId, offMs) {
      clock.bootId = bootId;
      monoMs = 0;
      wallMs += offMs;
    },
    waiting: () => waits.length,
  };
  return clock;
}
