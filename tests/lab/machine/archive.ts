import { join } from 'node:path';
import { writeArchive } from './cpio.js';
import type { Kernel } from './kernel.js';
import { productEntries } from './product.js';
import { systemEntries } from './system-files.js';

/**
 * The machine's whole file system in one archive. It is not compressed: unpacking costs the
 * emulated processor more than reading does.
 */
export async function buildArchive(kernel: Kernel, workFolder: string): Promise<string> {
  const archive = join(workFolder, 'machine.cpio');
  const entries = [...(await systemEntries(kernel)), ...(await productEntries(workFolder))];
  writeArchive(archive, entries);
  return archive;
}
