/**
 * What is written: the folder of the store and an empty store file, with their group and modes.
 * Order: folder, then each file that is there. A cut leaves a stricter mode than wanted, never a
 * wider one; the next start completes it.
 *
 * SQLite gives its side files (-wal, -shm) the mode and owner of the store file itself, so the
 * file must have its final mode before the store is opened.
 */
import {
  chmodSync,
  chownSync,
  closeSync,
  existsSync,
  mkdirSync,
  openSync,
  statSync,
} from 'node:fs';
import { basename, dirname } from 'node:path';
import { wordingProblems } from './store-problem.js';

/**
 * Makes the folder and an empty file for the store at `path`. With `readerGroup` (the web user's
 * group; needs root) that group may read and nobody else; with null the owner alone may.
 *
 * A folder that was there before and is not called "bayward" belongs to somebody else, such as
 * the system's folder for temporary files: its own mode is left alone.
 */
export function prepareStoreFolder(path: string, readerGroup: number | null): void {
  wordingProblems(path, () => {
    const folder = dirname(path);
    const ours = !existsSync(folder) || basename(folder) === 'bayward';
    mkdirSync(folder, { recursive: true, mode: readerGroup === null ? 0o700 : 0o711 });
    if (ours) {
      setAccess(folder, readerGroup, readerGroup === null ? 0o700 : 0o2750);
    }
    closeSync(openSync(path, 'a', 0o600));
    for (const file of [path, `${path}-wal`, `${path}-shm`]) {
      if (existsSync(file)) {
        setAccess(file, readerGroup, readerGroup === null ? 0o600 : 0o640);
      }
    }
  });
}

/** Group first: changing it may clear the set-group bit of a mode that was set before. */
function setAccess(path: string, group: number | null, mode: number): void {
  const before = statSync(path);
  if (group !== null && before.gid !== group) {
    chownSync(path, before.uid, group);
  }
  if ((statSync(path).mode & 0o7777) !== mode) {
    chmodSync(path, mode);
  }
}
