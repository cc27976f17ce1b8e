import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { unpackPackage } from './debian-package.js';
import { copyModules, offeredModules, wantedModules } from './modules.js';
import { cacheFolder } from './places.js';
import { runProgram } from './run-program.js';
import { Skipped } from './skipped.js';

/** A kernel for the machine: its image, and a folder of modules with their order of loading. */
export interface Kernel {
  readonly image: string;
  readonly modulesFolder: string;
  readonly moduleOrder: readonly string[];
}

/**
 * Debian's kernel for this architecture, fetched as a package with its ordinary client, unpacked
 * and kept in a folder named after the package and the wanted modules. The folder is filled aside
 * and renamed at the end, so that a cut leaves no half kernel.
 */
export async function fetchKernel(): Promise<Kernel> {
  if (!existsSync('/usr/bin/dpkg-deb')) throw new Skipped('The kernel comes as a Debian package');
  const name = await kernelPackageName();
  const wanted = createHash('sha256').update(`${wantedModules} ${offeredModules}`).digest('hex');
  const folder = join(cacheFolder(), `${name}-${wanted.slice(0, 12)}`);
  if (!existsSync(folder)) await unpackKernel(name, folder);
  return {
    image: join(folder, 'vmlinuz'),
    modulesFolder: join(folder, 'modules'),
    moduleOrder: readFileSync(join(folder, 'modules/order'), 'utf8').trim().split('\n'),
  };
}

async function kernelPackageName(): Promise<string> {
  const named = await dependencyOfMetaPackage();
  if (named !== null) return named;
  // Without the lists of packages nothing is known; failing to fetch them is told just below.
  if (process.getuid?.() === 0) await runProgram(['apt-get', 'update', '-qq']).catch(() => '');
  const second = await dependencyOfMetaPackage();
  if (second === null) throw new Skipped('The package linux-image-amd64 is not known to apt here');
  return second;
}

async function dependencyOfMetaPackage(): Promise<string | null> {
  const printed = await runProgram(['apt-cache', 'depends', 'linux-image-amd64']).catch(() => '');
  return /Depends: (linux-image-[0-9]\S+)/.exec(printed)?.[1] ?? null;
}

async function unpackKernel(name: string, folder: string): Promise<void> {
  const { work, files } = await unpackPackage(name);
  try {
    mkdirSync(join(work, 'kept'));
    const image = readdirSync(join(files, 'boot')).find((file) => file.startsWith('vmlinuz'));
    renameSync(join(files, 'boot', image ?? 'vmlinuz'), join(work, 'kept/vmlinuz'));
    copyModules(join(files, 'lib/modules'), join(work, 'kept/modules'));
    renameSync(join(work, 'kept'), folder);
  } finally {
    rmSync(work, { recursive: true, force: true });
  }
}
