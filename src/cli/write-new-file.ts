/*
 * Writes a file that is not there yet: first a file beside it, flushed, then its name as a second
 * link, which fails when the name is taken, then the first name goes and the folder is flushed. A
 * cut between leaves nothing or a whole file, at worst beside a left-over that ends in `.new`.
 */
import {
  closeSync,
  fsyncSync,
  linkSync,
  mkdirSync,
  openSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { dirname } from 'node:path';
import { type ExitCode, exitCodes, UserError } from '../checks/user-error.js';

/** Creates the folders on the way; refuses to replace a file. */
export function writeNewFile(path: string, text: string): void {
  const beside = `${path}.${process.pid}.new`;
  try {
    mkdirSync(dirname(path), { recursive: true });
    try {
      writeFlushed(beside, text);
      linkSync(beside, path);
    } finally {
      rmSync(beside, { force: true });
    }
    flush(dirname(path));
  } catch (error) {
    throw asUserError(path, error as NodeJS.ErrnoException);
  }
}

function writeFlushed(path: string, text: string): void {
  const descriptor = openSync(path, 'w', 0o644);
  try {
    writeFileSync(descriptor, text);
    fsyncSync(descriptor);
  } finally {
    closeSync(descriptor);
  }
}

function flush(folder: string): void {
  const descriptor = openSync(folder, 'r');
  try {
    fsyncSync(descriptor);
  } finally {
    closeSync(descriptor);
  }
}

const exitCodeOf: Readonly<Record<string, ExitCode>> = {
  EEXIST: exitCodes.refusedForSafety,
  EACCES: exitCodes.noPrivilege,
  EPERM: exitCodes.noPrivilege,
  EROFS: exitCodes.noPrivilege,
};

function asUserError(path: string, error: NodeJS.ErrnoException): UserError {
  const code = error.code ?? 'unknown';
  const why = code === 'EEXIST' ? 'there is a file already, and it is never replaced' : code;
  return new UserError('file-not-written', `The file ${path} could not be written: ${why}`, {
    exitCode: exitCodeOf[code] ?? exitCodes.interrupted,
    hint: 'Name another file, or run as root',
  });
}
