import { closeSync, ftruncateSync, openSync } from 'node:fs';
import { join } from 'node:path';

/** A file full of zeros that takes no room, as the bytes of an emulated disk; gives its path. */
export function createRawFile(folder: string, name: string, mebibytes: number): string {
  const path = join(folder, name);
  const descriptor = openSync(path, 'wx');
  ftruncateSync(descriptor, mebibytes * 1024 * 1024);
  closeSync(descriptor);
  return path;
}
