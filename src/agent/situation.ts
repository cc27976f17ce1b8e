import type { Box } from './box/box.js';
import type { BurnIns } from './burn-in/engine.js';
import type { Sampler } from './sampling.js';
import type { Situation } from './schedule/due.js';
import { jobKey } from './schedule/jobs.js';
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
    dueNow: await dueNow(sampler),
  };
}

/** What is due at once because something in the box is not as it was. */
async function dueNow(sampler: Sampler): Promise<ReadonlySet<string>> {
  const arrays = await sampler.arrayWatch.look(sampler.inventory);
  return new Set([
    ...(await sampler.dueNow()),
    ...(arrays.survey ? [jobKey('inventory', null)] : []),
    ...(arrays.survey || arrays.read ? [jobKey('surroundings', null)] : []),
  ]);
}
