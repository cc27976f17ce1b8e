import { readFileSync, statSync } from 'node:fs';
import { type DriveClass, parseClasses } from '../checks/model/classes.js';
import { type BoxModel, parseModel } from '../checks/model/parse.js';

const modelBytesMax = 1024 * 1024;

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
      model = readModel(path);
    }
    return model;
  };
}

/** Classes of drives from their file; none when the file cannot be used. */
export function readClasses(path: string): readonly DriveClass[] {
  try {
    const parsed = parseClasses(readFileSync(path, 'utf8'));
    return 'classes' in parsed ? parsed.classes : [];
  } catch {
    return [];
  }
}

function stampOf(path: string): string {
  const found = statSync(path, { throwIfNoEntry: false });
  return found === undefined ? 'absent' : `${found.ino} ${found.mtimeMs} ${found.size}`;
}

function readModel(path: string): BoxModel | null {
  try {
    const bytes = readFileSync(path);
    if (bytes.length > modelBytesMax) return null;
    const parsed = parseModel(bytes.toString('utf8'), path);
    return 'model' in parsed ? parsed.model : null;
  } catch {
    return null;
  }
}
