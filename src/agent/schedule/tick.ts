/** When the loop looks what is due: at once, then each minute. */
import { createTask } from 'node-cron';
import type { Clock } from '../clock.js';

/** Calls `onTick` from time to time until the returned function is called. */
export type TickSource = (onTick: () => Promise<void>) => () => void;

const minuteMs = 60_000;

/**
 * A tick at once, then one at each full minute. node-cron says when the next minute is, but its
 * own timers stay unused: after a step of the calendar they would be silent until it has caught
 * up, or go through every minute that was skipped, which from 1970 on are millions. Waiting here
 * for at most a minute of elapsed time, and then asking anew, does neither.
 */
export function everyMinute(clock: Clock): TickSource {
  return (onTick) => {
    const minutes = createTask('* * * * *', () => undefined, { timezone: 'UTC' });
    let timer: NodeJS.Timeout | null = null;
    const tick = (): void => {
      timer = setTimeout(tick, waitMs(minutes.getNextRuns(1)[0], clock.wallMs()));
      void onTick();
    };
    tick();
    return () => {
      clearTimeout(timer ?? undefined);
      void minutes.destroy();
    };
  };
}

/** A timer may fire a little early: a minute that is about to begin is the one just told. */
function waitMs(next: Date | undefined, wallMs: number): number {
  const left = next === undefined ? minuteMs : next.getTime() - wallMs;
  return left < 1000 || left > minuteMs ? minuteMs : left;
}
