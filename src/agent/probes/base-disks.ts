import type { Box } from '../box/box.js';
import { namesIn, realPathOrNull, textOrNull } from './read-kernel.js';

/** Volumes on arrays on partitions are three deep; more than this is a ring in a broken tree. */
const depthMax = 16;

/**
 * Device numbers of the whole disks under a block device: a partition's disk, and for arrays and
 * volumes those of everything they are made of. `path` is the device's folder or a link to it.
 */
export async function baseDisks(box: Box, path: string, depth = 0): Promise<readonly string[]> {
  const folder = await realPathOrNull(box, path);
  if (folder === null || depth > depthMax) return [];
  const isPartition = (await textOrNull(box, `${folder}/partition`)) !== null;
  if (isPartition) return baseDisks(box, folder.slice(0, folder.lastIndexOf('/')), depth + 1);
  const slaves = await namesIn(box, `${folder}/slaves`);
  if (slaves.length === 0) {
    const number = await textOrNull(box, `${folder}/dev`);
    return number === null ? [] : [number];
  }
  const found: string[] = [];
  for (const name of slaves) {
    found.push(...(await baseDisks(box, `/sys/class/block/${name}`, depth + 1)));
  }
  return found;
}
