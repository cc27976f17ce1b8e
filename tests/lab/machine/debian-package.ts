import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { cacheFolder } from './places.js';
import { runProgram } from './run-program.js';
import { Skipped } from './skipped.js';

/**
 * Fetches a package with Debian's ordinary client and unpacks it into a new folder beside the
 * cache; nothing is installed on this computer. The caller keeps what it needs, and removes the
 * rest.
 */
export async function unpackPackage(name: string): Promise<{ work: string; files: string }> {
  const work = mkdtempSync(join(cacheFolder(), 'unpacking-'));
  try {
    await download(name, work);
    const archive = readdirSync(work).find((file) => file.endsWith('.deb'));
    if (archive === undefined) throw new Skipped(`apt-get download brought no file for ${name}`);
    const files = join(work, 'all');
    await runProgram(['dpkg-deb', '-x', join(work, archive), files]);
    return { work, files };
  } catch (error) {
    rmSync(work, { recursive: true, force: true });
    throw error;
  }
}

async function download(name: string, folder: string): Promise<void> {
  try {
    await runProgram(['apt-get', 'download', name], { folder, deadlineMs: 300_000 });
  } catch (error) {
    const why = error instanceof Error ? error.message.split('\n').at(-2) : String(error);
    throw new Skipped(`The package ${name} could not be downloaded: ${why}`);
  }
}
