import { createHash } from 'node:crypto';
import { createLinuxBox } from '../../../src/agent/box/linux-box.js';
import { createBurnIns } from '../../../src/agent/burn-in/engine.js';
import type { BurnInParts, BurnInStore } from '../../../src/agent/burn-in/engine-parts.js';
import { systemClock } from '../../../src/agent/clock.js';
import { driveInUse } from '../../../src/agent/probes/in-use.js';
import { driveAtPath } from '../../../src/agent/probes/inventory.js';
import { forkedWorkers } from '../../../src/agent/workers/supervise.js';
import { measured } from '../../../src/checks/reading.js';

/** The engine as it runs on a machine: real box, real child processes, the given store. */
export function machineParts(options: {
  readonly store: BurnInStore;
  readonly workerEntry: string;
  readonly seedOf: string;
}): BurnInParts {
  const box = createLinuxBox();
  const clock = systemClock();
  return {
    box,
    clock,
    store: options.store,
    startWorker: forkedWorkers({ workerEntry: options.workerEntry, clock }),
    // A loop device shows no counters; an invented one stands in so that "keep" is reachable.
    takeReadings: async () => [
      measured({ metric: 'reallocated-sectors', unit: 'sectors', source: 'invented record' }, 0),
    ],
    listDrives: async () => [],
    driveAtPath: async (path) => {
      const found = await driveAtPath(box, path);
      return found.ok ? found.value : null;
    },
    inUse: (drive) => driveInUse(box, drive),
    holdsData: () => false,
    pageMayErase: () => false,
    returnIsOpen: () => null,
    makeSeed: () => createHash('sha256').update(options.seedOf).digest('hex').slice(0, 32),
  };
}

export function machineEngine(options: Parameters<typeof machineParts>[0]) {
  return createBurnIns(machineParts(options));
}
