import { mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import type { ArchiveEntry } from './cpio.js';
import { projectFolder } from './places.js';
import { runProgram } from './run-program.js';

const installedAt = 'opt/bayward';

/**
 * The product as somebody would install it: the files of the tarball that `npm pack` makes, and
 * the packages that package-lock.json names for production, as they stand in this clone.
 */
export async function productEntries(workFolder: string): Promise<ArchiveEntry[]> {
  const unpacked = await packAndUnpack(workFolder);
  const own = filesBelow(unpacked).map((file) => toEntry(join(unpacked, file), file));
  const command = '#!/bin/sh\nexec /usr/bin/node /opt/bayward/dist/src/cli/main.js "$@"\n';
  return [
    ...own,
    ...productionPackages().flatMap(packageEntries),
    { path: 'bin/bayward', mode: 0o755, data: Buffer.from(command) },
  ];
}

async function packAndUnpack(workFolder: string): Promise<string> {
  const folder = join(workFolder, 'product');
  mkdirSync(folder);
  await runProgram(['npm', 'pack', '--silent', '--ignore-scripts', '--pack-destination', folder], {
    folder: projectFolder(),
  });
  const tarball = readdirSync(folder).find((file) => file.endsWith('.tgz'));
  if (tarball === undefined) throw new Error('npm pack made no tarball');
  await runProgram(['tar', '-xzf', join(folder, tarball), '-C', folder]);
  return join(folder, 'package');
}

interface LockedPackage {
  readonly dev?: boolean;
  readonly optional?: boolean;
}

/** Folders of the packages that the product needs; optional ones for other systems are absent. */
function productionPackages(): string[] {
  const lock = JSON.parse(readFileSync(join(projectFolder(), 'package-lock.json'), 'utf8')) as {
    packages: Record<string, LockedPackage>;
  };
  return Object.entries(lock.packages)
    .filter(([path, locked]) => path !== '' && locked.dev !== true)
    .flatMap(([path, locked]) => (locked.optional === true && !isThere(path) ? [] : [path]));
}

function isThere(path: string): boolean {
  return filesBelow(join(projectFolder(), path)).length > 0;
}

/** What is only needed to build a package is left out: sources, objects, documents. */
const leftOut = [
  /^better-sqlite3\/(deps|src)\//,
  /^better-sqlite3\/build\/(?!Release\/better_sqlite3\.node$)/,
  /^koffi\/(src|vendor|doc|lib)\/(?!.*\.c?js$)/,
  /\.(md|map|ts|cts|mts)$/,
];

function packageEntries(path: string): ArchiveEntry[] {
  const folder = join(projectFolder(), path);
  return filesBelow(folder)
    .filter((file) => {
      const below = join(relative('node_modules', path), file);
      return !leftOut.some((pattern) => pattern.test(below));
    })
    .map((file) => toEntry(join(folder, file), join(path, file)));
}

function toEntry(fromFile: string, path: string): ArchiveEntry {
  return { path: join(installedAt, path), mode: 0o644, fromFile };
}

function filesBelow(folder: string): string[] {
  try {
    return readdirSync(folder, { withFileTypes: true, recursive: true })
      .filter((entry) => entry.isFile())
      .map((entry) => relative(folder, join(entry.parentPath, entry.name)))
      .sort();
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw error;
  }
}
