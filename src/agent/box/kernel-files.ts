import { readdir, readFile, realpath } from 'node:fs/promises';
import { dirname, posix } from 'node:path';
import { type Answer, answered, missing } from './box.js';
import type { DriveGate } from './drive-gate.js';
import { kernelFileAbsence } from './errno-class.js';

/** Reads under /sys, /proc and /dev/disk; some of these files ask a drive and can be silent. */
export interface KernelFiles {
  text(path: string): Promise<Answer<string>>;
  bytes(path: string): Promise<Answer<Uint8Array>>;
  folder(path: string): Promise<Answer<readonly string[]>>;
  realPath(path: string): Promise<Answer<string>>;
}

const roots = ['/sys', '/proc', '/dev/disk'];
/** Longer than any drive that answers a sensor file at all, shorter than one round of reading. */
const fileDeadlineMs = 5_000;

/**
 * `root` stands before each path, for trees of recorded files; realPath takes it off again.
 * The files of one folder are read one after the other: a sensor chip that belongs to a silent
 * drive has several, and together they may hold one thread, not one each.
 */
export function makeKernelFiles(root: string, gate: DriveGate): KernelFiles {
  function reading<T>(path: string, read: (real: string) => Promise<T>): Promise<Answer<T>> {
    const clean = posix.normalize(path);
    if (!roots.some((allowed) => clean === allowed || clean.startsWith(`${allowed}/`))) {
      const text = `${path} is not read: expected a path under ${roots.join(', ')}`;
      return Promise.resolve(missing('not-permitted', text));
    }
    return gate.command(`file ${laneOf(clean)}`, {
      name: `the file ${clean}`,
      deadlineMs: fileDeadlineMs,
      run: async () => {
        try {
          return answered(await read(root + clean));
        } catch (error) {
          return { ok: false, absence: kernelFileAbsence(clean, error) };
        }
      },
    });
  }
  return {
    text: (path) => reading(path, async (real) => withoutLastLineFeed(await readFile(real))),
    bytes: (path) => reading(path, async (real) => new Uint8Array(await readFile(real))),
    folder: (path) => reading(path, async (real) => (await readdir(real)).sort()),
    realPath: (path) =>
      reading(path, async (real) => {
        const found = await realpath(real);
        return root !== '' && found.startsWith(root) ? found.slice(root.length) : found;
      }),
  };
}

/** Files that lie directly in /proc belong to nothing in common, so each waits only for itself. */
function laneOf(path: string): string {
  const folder = dirname(path);
  return folder === '/proc' ? path : folder;
}

function withoutLastLineFeed(bytes: Buffer): string {
  const text = bytes.toString('utf8');
  return text.endsWith('\n') ? text.slice(0, -1) : text;
}
