import type { BoxFault } from './fault.js';
import type { SimStart } from './sim-plan.js';

/** The drive stays away at the first of two starts, for long enough to be missed. */
function startFault(
  told: Pick<BoxFault, 'name' | 'what' | 'finding'> & {
    readonly starts: readonly [SimStart, SimStart];
  },
): BoxFault {
  return {
    ...told,
    seenBy: 'kernel',
    roundsMax: 6,
    about: 'drive',
    metric: 'power-cycles',
    drive: 'trial',
    passing: ['drive-missing'],
    plant: (box, { serial }) => {
      [box.seat(serial).absentAt] = told.starts;
    },
    repair: (box, { serial }) => {
      box.seat(serial).absentAt = null;
    },
  };
}

/** Faults that show only over several starts of the box. */
export const startFaults: readonly BoxFault[] = [
  startFault({
    name: 'drive that comes too late',
    what: 'A drive is not found after the box was switched on, and found after a restart',
    finding: 'absent-after-power-on',
    starts: ['power-on', 'restart'],
  }),
  startFault({
    name: 'drive that hangs at a restart',
    what: 'A drive is not found after a restart, and found when its power was off',
    finding: 'absent-after-restart',
    starts: ['restart', 'power-on'],
  }),
];
