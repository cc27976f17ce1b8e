import type { Box } from './box/box.js';
import { createLinuxBox } from './box/linux-box.js';
import { type Clock, systemClock } from './clock.js';

/** The real box and the real clock: the one place where both are made. */
export function thisBox(): { box: Box; clock: Clock } {
  return { box: createLinuxBox(), clock: systemClock() };
}
