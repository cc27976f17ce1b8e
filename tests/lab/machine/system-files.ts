import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { arrayToolEntries } from './array-tool.js';
import type { ArchiveEntry } from './cpio.js';
import type { Kernel } from './kernel.js';
import { projectFolder } from './places.js';
import { runProgram } from './run-program.js';
import { Skipped } from './skipped.js';

/** First program of the machine: mounts, modules in order, then our runner again and again. */
const firstProgram = `#!/bin/busybox sh
/bin/busybox --install -s /bin
export PATH=/bin:/usr/bin HOME=/root
mount -t proc proc /proc
mount -t sysfs sys /sys
mount -t devtmpfs dev /dev
mkdir -p /dev/shm && mount -t tmpfs shm /dev/shm
mount -t tmpfs run /run
for module in $(cat /modules/order); do insmod /modules/$module.ko || echo "not loaded: $module"; done
hostname reading-room
ifconfig lo 127.0.0.1 up
echo "machine is up, $(cat /proc/uptime)"
/usr/bin/node /runner/guest-runner.js
echo "runner ended: $?"
poweroff -f
`;

/** Of util-linux: it makes a time namespace (Linux 5.6 and newer). */
export const clockTool = '/usr/bin/unshare';

const accounts = `root:x:0:0:root:/root:/bin/sh
nobody:x:65534:65534:nobody:/nonexistent:/bin/false
`;

/** Everything of the machine but the product: shell, the running Node, libraries, modules. */
export async function systemEntries(kernel: Kernel): Promise<ArchiveEntry[]> {
  const busybox = ['/bin/busybox', '/usr/bin/busybox'].find((file) => existsSync(file));
  if (busybox === undefined) throw new Skipped('The package busybox-static is not installed');
  const runner = fileURLToPath(new URL('guest-runner.js', import.meta.url));
  return [
    ...['proc', 'sys', 'dev', 'run', 'tmp', 'root', 'mnt', 'var/lib', 'etc'].map((path) => ({
      path,
      folder: true as const,
    })),
    { path: 'etc/passwd', mode: 0o644, data: Buffer.from(accounts) },
    { path: 'init', mode: 0o755, data: Buffer.from(firstProgram) },
    { path: 'bin/busybox', mode: 0o755, fromFile: busybox },
    { path: 'bin/sh', linkTo: 'busybox' },
    { path: 'usr/bin/node', mode: 0o755, fromFile: process.execPath },
    { path: 'runner/package.json', mode: 0o644, data: Buffer.from('{"type":"module"}') },
    { path: 'runner/guest-runner.js', mode: 0o644, data: readFileSync(runner) },
    ...(await libraryEntries()),
    ...(await arrayToolEntries()),
    ...(await clockToolEntries()),
    ...readdirSync(kernel.modulesFolder).map((file) => ({
      path: `modules/${file}`,
      mode: 0o644,
      fromFile: join(kernel.modulesFolder, file),
    })),
  ];
}

/** Runs a program whose clock since boot is ahead; empty where this computer has none. */
async function clockToolEntries(): Promise<ArchiveEntry[]> {
  if (!existsSync(clockTool)) return [];
  const libraries = (await runProgram(['ldd', clockTool])).match(/\/\S+\.so\S*/g) ?? [];
  return [clockTool, ...libraries].map((file) => ({
    path: file.slice(1),
    mode: 0o755,
    fromFile: file,
  }));
}

/** Shared libraries of Node and of the SQLite addon, where the loader of this computer has them. */
async function libraryEntries(): Promise<ArchiveEntry[]> {
  const addon = 'node_modules/better-sqlite3/build/Release/better_sqlite3.node';
  const printed = await runProgram(['ldd', process.execPath, join(projectFolder(), addon)]);
  const files = new Set(printed.match(/\/\S+\.so\S*/g));
  return [...files].map((file) => ({ path: file.slice(1), mode: 0o755, fromFile: file }));
}
