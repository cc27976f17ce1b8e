import type { PartReadings } from '../../checks/part.js';
import type { Box } from '../box/box.js';
import { readArrays } from '../probes/arrays.js';
import { seeArrays } from '../probes/see-arrays.js';

/**
 * Arrays that must not be loaded now, from the text of /proc/mdstat: degraded ones ("[3/2]" with a
 * hole in "[U_U]"), and those under recovery, resync, reshape or check (Linux md driver,
 * drivers/md/md.c md_seq_show, from memory). Names of arrays with the reason. Pure.
 */
export function restlessArrays(mdstat: string): readonly string[] {
  const found: string[] = [];
  let name = '';
  for (const line of mdstat.split('\n')) {
    const begins = /^(md\S*) : (\S+)/.exec(line);
    if (begins !== null) name = begins[1] ?? '';
    if (name === '') continue;
    const members = /\[(\d+)\/(\d+)\]/.exec(line);
    if (members !== null && Number(members[2]) < Number(members[1])) {
      found.push(`Array ${name} is degraded`);
    }
    const work = /(recovery|resync|reshape|check|repair)\s*=\s*(\S+)/.exec(line);
    if (work !== null) found.push(`Array ${name} is busy: ${work[1]} ${work[2]}`);
  }
  return found;
}

/**
 * The same for a pool, from its own readings: drives missing, work on the whole of it, or a state
 * other than in order. `label` names it to a person. Pure.
 */
export function restlessPool(label: string, { readings }: PartReadings): readonly string[] {
  const found = (metric: string) => readings.find((one) => one.metric === metric);
  const missing = found('array-members-missing')?.value ?? 0;
  const [work, state] = [found('array-work'), found('array-state')];
  return [
    ...(missing > 0 ? [`${label} is degraded`] : []),
    ...(work?.value ? [`${label} is busy: ${work.text ?? 'working on the whole of itself'}`] : []),
    ...(state?.value ? [`${label} is ${state.text ?? 'not in order'}`] : []),
  ];
}

/** All of them from the running kernel; a kernel without md has no md arrays to spare. */
export async function arraysThatNeedRest(box: Box): Promise<readonly string[]> {
  return [...(await mdThatNeedsRest(box)), ...(await poolsThatNeedRest(box))];
}

async function poolsThatNeedRest(box: Box): Promise<readonly string[]> {
  const pools = (await seeArrays(box, [])).filter(({ family }) => family !== 'md');
  const read = await readArrays(box, { drives: [], arrays: pools });
  return pools.flatMap(({ identityKey, label }) =>
    read
      .filter((one) => one.identityKey === identityKey)
      .flatMap((one) => restlessPool(label, one)),
  );
}

async function mdThatNeedsRest(box: Box): Promise<readonly string[]> {
  const answer = await box.kernelText('/proc/mdstat');
  if (answer.ok) return restlessArrays(answer.value);
  if (answer.absence.kind === 'not-there') return [];
  return [`Whether an array is degraded cannot be told: ${answer.absence.text}`];
}
