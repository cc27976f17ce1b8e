import type { Clock } from '../../src/agent/clock.js';

/**
 * Time that passes only by waiting: when everything that runs waits for the clock, it jumps to
 * the earliest wait. `pass` lets time go by with nobody waiting; `boot` switches off and on.
 */
export interface SimClock extends Clock {
  bootId: string;
  fineMs(): number;
  pass(ms: number): void;
  /** Ends all waits: whoever waited is gone with the power, and drives are free again. */
  boot(bootId: string, offMs: number): void;
  /** Sets the calendar forward or back, as a person or a time server does. */
  stepWall(ms: number): void;
  /** From now on the calendar gains this many seconds in a million. */
  driftWall(perMillion: number): void;
  /** From now on time passes by itself, as fast as in the world outside. */
  goLive(): void;
  /** Waits that have not come to their end. */
  waiting(): number;
}

/**
 * So many turns of the event loop must pass without a new wait before the clock jumps: messages
 * between a worker and its parent take a turn each, and no time may pass while one is on its way.
 */
const quietTurns = 8;

interface Wait {
  readonly untilMs: number;
  readonly end: () => void;
}

export function makeSimClock(startWallMs: number): SimClock {
  let monoMs = 0;
  let wallMs = startWallMs;
  let waits: Wait[] = [];
  let turnsLeft = 0;
  let driftPerMillion = 0;
  let live: { sinceReal: number; sinceMono: number } | null = null;

  function nowMs(): number {
    if (live !== null) moveTo(live.sinceMono + performance.now() - live.sinceReal);
    return monoMs;
  }

  function moveTo(target: number): void {
    wallMs += (target - monoMs) * (1 + driftPerMillion / 1e6);
    monoMs = target;
  }

  // Promises settle before setImmediate comes round, so whoever wants to wait has said so by then.
  function jumpSoon(): void {
    const isTurning = turnsLeft > 0;
    turnsLeft = quietTurns;
    if (!isTurning) setImmediate(turn);
  }

  function turn(): void {
    turnsLeft -= 1;
    if (turnsLeft > 0) setImmediate(turn);
    else jump();
  }

  function jump(): void {
    const next = waits.toSorted((left, right) => left.untilMs - right.untilMs)[0];
    if (!next) return;
    waits = waits.filter((wait) => wait !== next);
    moveTo(Math.max(monoMs, next.untilMs));
    next.end();
    jumpSoon();
  }

  const clock: SimClock = {
    bootId: 'boot-1',
    bootMs: () => Math.floor(nowMs()),
    wallMs: () => {
      nowMs();
      return Math.floor(wallMs);
    },
    fineMs: nowMs,
    sleep: (ms) =>
      new Promise((resolve) => {
        if (live !== null) {
          setTimeout(resolve, ms);
          return;
        }
        waits.push({ untilMs: monoMs + Math.max(0, ms), end: resolve });
        jumpSoon();
      }),
    pass: (ms) => moveTo(monoMs + ms),
    boot(bootId, offMs) {
      clock.bootId = bootId;
      monoMs = 0;
      wallMs += offMs;
      if (live !== null) live = { sinceReal: performance.now(), sinceMono: 0 };
      const ended = waits;
      waits = [];
      for (const wait of ended) wait.end();
    },
    stepWall: (ms) => {
      wallMs += ms;
    },
    driftWall: (perMillion) => {
      driftPerMillion = perMillion;
    },
    goLive: () => {
      live = { sinceReal: performance.now(), sinceMono: monoMs };
      const pending = waits;
      waits = [];
      for (const wait of pending) setTimeout(wait.end, wait.untilMs - monoMs);
    },
    waiting: () => waits.length,
  };
  return clock;
}
