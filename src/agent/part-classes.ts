import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type DriveClass, parseClasses } from '../checks/model/classes.js';
import { exitCodes, UserError } from '../checks/user-error.js';

/** The list of part classes that comes with the program. */
export function readPartClasses(): readonly DriveClass[] {
  return readClassesFile(join(programFolder(), 'config/part-classes.toml'));
}

export function readClassesFile(file: string): readonly DriveClass[] {
  const parsed = parseClasses(readText(file));
  if ('classes' in parsed) return parsed.classes;
  throw badClasses(file, `cannot be used: ${parsed.complaints.map(({ text }) => text).join('; ')}`);
}

function readText(file: string): string {
  try {
    return readFileSync(file, 'utf8');
  } catch (error) {
    throw badClasses(file, `could not be read: ${(error as NodeJS.ErrnoException).code}`);
  }
}

function badClasses(file: string, what: string): UserError {
  return new UserError('bad-classes', `The file ${file} ${what}`, { exitCode: exitCodes.badInput });
}

/** The folder that holds package.json, seen from the source as from the built program. */
export function programFolder(): string {
  let folder = dirname(fileURLToPath(import.meta.url));
  while (!existsSync(join(folder, 'package.json')) && folder !== '/') folder = dirname(folder);
  return folder;
}

export function programVersion(): string {
  const text = readFileSync(join(programFolder(), 'package.json'), 'utf8');
  return (JSON.parse(text) as { version: string }).version;
}
