import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Why loop devices cannot be used here, or null when they can. */
export function whyNoLoopDevices(): string | null {
  if (process.getuid?.() !== 0) return 'needs root to set up a loop device';
  try {
    execFileSync('losetup', ['--find'], { stdio: 'pipe' });
    return null;
  } catch {
    return 'losetup finds no free loop device';
  }
}

export interface LoopDevice {
  readonly folder: string;
  readonly file: string;
  readonly path: string;
  /** Checksum of everything on the device, read from the file behind it. */
  checksum(): string;
  detach(): void;
}

/** A loop device over a new file below the system's folder for temporary files. */
export function makeLoopDevice(sizeBytes: number, prepare?: (file: string) => void): LoopDevice {
  const folder = mkdtempSync(join(tmpdir(), 'bayward-loop-'));
  const file = join(folder, 'disk.img');
  writeFileSync(file, '');
  truncateSync(file, sizeBytes);
  prepare?.(file);
  const path = execFileSync('losetup', ['--find', '--show', file], { encoding: 'utf8' }).trim();
  return {
    folder,
    file,
    path,
    checksum: () => createHash('sha256').update(readFileSync(file)).digest('hex'),
    detach: () => {
      execFileSync('losetup', ['--detach', path]);
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
