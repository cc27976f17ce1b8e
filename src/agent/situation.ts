import type { Box } from './box/box.js';
import type { BurnIns } from './burn-in/engine.js';
import type { Sampler } from './sampling.js';
import type { Situation } from './schedule/due.js';
import { arraysThatNeedRest } from './speed/array-rest.js';

interface SituationParts {
  readonly box: Box;
  readonly sampler: Sampler;
  readonly burnIns: BurnIns;
}

/** What goes on in the box now, as the schedule asks for it. */
export async function situationOf({ box, sampler, burnIns }: SituationParts): Promise<Situation> {
  return {
    idle: sampler.isIdle,
    arrayBusy: (await arraysThatNeedRest(box)).length > 0,
    burnInRunning: burnIns.running().some(({ state }) => state === 'running'),
    drives: sampler.inventory.drives.map(({ id }) => id),
  };
}
