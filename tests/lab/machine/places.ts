import { existsSync, mkdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** The folder of the project: the first one above this file that holds the list of packages. */
export function projectFolder(): string {
  let folder = dirname(fileURLToPath(import.meta.url));
  while (!existsSync(join(folder, 'package-lock.json'))) {
    if (folder === dirname(folder)) throw new Error('No package-lock.json above this file');
    folder = dirname(folder);
  }
  return folder;
}

/** Where the kernel is kept between runs; never inside the project. */
export function cacheFolder(): string {
  const { HOME, XDG_CACHE_HOME } = process.env;
  const home = HOME === undefined || HOME === '' ? null : join(HOME, '.cache');
  const above = XDG_CACHE_HOME || home;
  const folder = above === null ? join(tmpdir(), 'bayward-lab-cache') : join(above, 'bayward-lab');
  mkdirSync(folder, { recursive: true });
  return folder;
}
