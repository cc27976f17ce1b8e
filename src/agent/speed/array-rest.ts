import type { ArraySeen, PartReadings } from '../../checks/part.js';
import type { Box } from '../box/box.js';
import { readArrays } from '../probes/arrays.js';
import { mayBeMember } from '../probes/quiet-moment.js';
import { seeArrays } from '../probes/see-arrays.js';

/**
 * Arrays that must not be loaded now, from the text of /proc/mdstat: degraded ones ("[3/2]" with a
 * hole in "[U_U]"), and those under recovery, resync, reshape or check (Linux md driver,
 * drivers/md/md.c md_seq_show, from memory). Arrays as `labelOf` calls them, by the kernel's name,
 * with the reason. Pure.
 */
export function restlessArrays(
  mdstat: string,
  labelOf: (name: string) => string = (name) => `Array ${name}`,
): readonly string[] {
  return restlessMd(mdstat).map(({ name, what }) => `${labelOf(name)} is ${what}`);
}

interface RestlessArray {
  readonly name: string;
  readonly what: string;
}

function restlessMd(mdstat: string): readonly RestlessArray[] {
  const found: RestlessArray[] = [];
  let name = '';
  for (const line of mdstat.split('\n')) {
    const begins = /^(md\S*) : (\S+)/.exec(line);
    if (begins !== null) name = begins[1] ?? '';
    if (name === '') continue;
    const members = /\[(\d+)\/(\d+)\]/.exec(line);
    if (members !== null && Number(members[2]) < Number(members[1])) {
      found.push({ name, what: 'degraded' });
    }
    const work = /(recovery|resync|reshape|check|repair)\s*=\s*(\S+)/.exec(line);
    if (work !== null) found.push({ name, what: `busy: ${work[1]} ${work[2]}` });
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

/**
 * Whether a drive lies in an array that needs rest. A pool that names no drives may lie on any of
 * them, and where md does not tell its state, every array is spared.
 */
export async function lacksRest(
  box: Box,
  { id, arrays }: { readonly id: string; readonly arrays: readonly ArraySeen[] },
): Promise<boolean> {
  const own = arrays.filter((array) => mayBeMember(id, [array]));
  if (own.length === 0) return false;
  const answer = await box.kernelText('/proc/mdstat');
  if (!answer.ok && answer.absence.kind !== 'not-there') return true;
  const names = answer.ok ? restlessMd(answer.value).map(({ name }) => name) : [];
  if (own.some(({ folder }) => names.some((name) => folder === `/sys/block/${name}`))) return true;
  const pools = own.filter(({ family }) => family !== 'md');
  return pools.length > 0 && (await restlessPools(box, pools)).length > 0;
}

async function poolsThatNeedRest(box: Box): Promise<readonly string[]> {
  return restlessPools(
    box,
    (await seeArrays(box, [])).filter(({ family }) => family !== 'md'),
  );
}

async function restlessPools(box: Box, pools: readonly ArraySeen[]): Promise<readonly string[]> {
  const read = await readArrays(box, { drives: [], arrays: pools });
  return pools.flatMap(({ identityKey, label }) =>
    read
      .filter((one) => one.identityKey === identityKey)
      .flatMap((one) => restlessPool(label, one)),
  );
}

/** A person knows an array by the name that somebody gave it, not by the kernel's. */
async function labelsOf(box: Box): Promise<(name: string) => string> {
  const seen = await seeArrays(box, []);
  return (name) =>
    seen.find(({ folder }) => folder === `/sys/block/${name}`)?.label ?? `Array ${name}`;
}

async function mdThatNeedsRest(box: Box): Promise<readonly string[]> {
  const answer = await box.kernelText('/proc/mdstat');
  if (answer.ok) {
    // Asked each minute: on most boxes no array needs rest, and then nobody needs its name.
    const isRestless = restlessMd(answer.value).length > 0;
    return isRestless ? restlessArrays(answer.value, await labelsOf(box)) : [];
  }
  if (answer.absence.kind === 'not-there') return [];
  return [`Whether an array is degraded cannot be told: ${answer.absence.text}`];
}
