import type { Box } from '../box/box.js';
import { namesIn, realPathOrNull, textOrNull } from './read-kernel.js';

/** Names of what is no drive or comes and goes with ordinary use: memory disks, arrays, discs. */
const others = /^(loop|ram|zram|dm-|md|sr|fd|zd)\d/;

/**
 * What the kernel shows as disks now, as one text: when it differs from the text of the newest look
 * at the box, a disk came or went. Each disk has its number in the row of all disks since boot
 * (Linux Documentation/ABI/stable/sysfs-block, diskseq, from 5.15 on), so that one that is pulled
 * and put back between two looks shows too; an older kernel gives its place instead. A few small
 * files are read; no drive is asked.
 */
export async function boxMarks(box: Box): Promise<string> {
  const marks: string[] = [];
  for (const name of await namesIn(box, '/sys/block')) {
    if (others.test(name)) continue;
    const folder = `/sys/block/${name}`;
    const sequence = await textOrNull(box, `${folder}/diskseq`);
    marks.push(`${name} ${sequence ?? (await realPathOrNull(box, folder)) ?? ''}`);
  }
  return marks.sort().join('\n');
}
