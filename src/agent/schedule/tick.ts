/** When the loop looks what is due: each minute, and also when the calendar steps. */
import { schedule } from 'node-cron';
import type { Clock } from '../clock.js';

/** Calls `onTick` from time to time until the returned function is called. */
export type TickSource = (onTick: () => Promise<void>) => () => void;

const guardMs = 30_000;
const silentMsMax = 90_000;

/**
 * A tick at once, then each minute by node-cron. It waits for a minute of the calendar, so after a
 * step back it would be silent until the calendar has caught up: a guard that counts elapsed time
 * notices the silence and begins anew.
 */
export function everyMinute(clock: Clock): TickSource {
  return (onTick) => {
    let lastMs = clock.bootMs();
    const tick = (): void => {
      lastMs = clock.bootMs();
      void onTick();
    };
    const start = () =>
      schedule('* * * * *', tick, { timezone: 'UTC', suppressMissedWarning: true });
    let task = start();
    const guard = setInterval(() => {
      if (clock.bootMs() - lastMs > silentMsMax) {
        void task.destroy();
        task = start();
        tick();
      }
    }, guardMs);
    tick();
    return () => {
      clearInterval(guard);
      void task.destroy();
    };
  };
}
