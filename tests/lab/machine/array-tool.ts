import { copyFileSync, existsSync, mkdirSync, renameSync, rmSync } from 'node:fs';
import { dirname, join } from 'node:path';
import type { ArchiveEntry } from './cpio.js';
import { unpackPackage } from './debian-package.js';
import { cacheFolder } from './places.js';
import { runProgram } from './run-program.js';
import { Skipped } from './skipped.js';

/** Where the program that makes arrays is inside the machine. */
export const arrayTool = '/usr/sbin/mdadm';

/**
 * The program that makes arrays, with its libraries, from Debian's package; empty when it cannot be
 * fetched, so that only the cases that need it are skipped.
 */
export async function arrayToolEntries(): Promise<ArchiveEntry[]> {
  const kept = join(cacheFolder(), 'mdadm', 'mdadm');
  try {
    if (!existsSync(kept)) await fetchTool(kept);
  } catch (error) {
    if (error instanceof Skipped) return [];
    throw error;
  }
  const printed = await runProgram(['ldd', kept]);
  const libraries = [...new Set(printed.match(/\/\S+\.so\S*/g))];
  return [
    { path: arrayTool.slice(1), mode: 0o755, fromFile: kept },
    ...libraries.map((file) => ({ path: file.slice(1), mode: 0o755, fromFile: file })),
  ];
}

/** Copied aside and renamed, so that a cut leaves no half program. */
async function fetchTool(kept: string): Promise<void> {
  const { work, files } = await unpackPackage('mdadm');
  try {
    mkdirSync(dirname(kept), { recursive: true });
    copyFileSync(join(files, 'sbin/mdadm'), `${kept}.part`);
    renameSync(`${kept}.part`, kept);
  } finally {
    rmSync(work, { recursive: true, force: true });
  }
}
