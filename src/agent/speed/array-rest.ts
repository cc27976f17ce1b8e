import type { Box } from '../box/box.js';

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

/** The same from the running kernel; a kernel without md has no arrays to spare. */
export async function arraysThatNeedRest(box: Box): Promise<readonly string[]> {
  const answer = await box.kernelText('/proc/mdstat');
  if (answer.ok) return restlessArrays(answer.value);
  if (answer.absence.kind === 'not-there') return [];
  return [`Whether an array is degraded cannot be told: ${answer.absence.text}`];
}
