import { statSync } from 'node:fs';
import { readModelFile } from '../agent/model-file.js';
import { readClassesFile } from '../agent/part-classes.js';
import type { DriveClass } from '../checks/model/classes.js';
import type { BoxModel } from '../checks/model/parse.js';
import { UserError } from '../checks/user-error.js';

/**
 * The build model as it stands in its file now, read again when the file changes. A file that is
 * missing, unreadable or faulty gives null: the agent is the one who complains about it.
 */
export function modelDoor(path: string): () => BoxModel | null {
  let stamp = '';
  let model: BoxModel | null = null;
  return () => {
    const found = stampOf(path);
    if (found !== stamp) {
      stamp = found;
      model = unlessRefused(() => readModelFile(path), null);
    }
    return model;
  };
}

/** Classes of drives from their file; none when the file cannot be used. */
export function readClasses(path: string): readonly DriveClass[] {
  return unlessRefused(() => readClassesFile(path), []);
}

function unlessRefused<T>(read: () => T, otherwise: T): T {
  try {
    return read();
  } catch (error) {
    if (error instanceof UserError) return otherwise;
    throw error;
  }
}

function stampOf(path: string): string {
  const found = statSync(path, { throwIfNoEntry: false });
  return found === undefined ? 'absent' : `${found.ino} ${found.mtimeMs} ${found.size}`;
}
