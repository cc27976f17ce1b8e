import { readFileSync } from 'node:fs';
import { register } from 'node:module';
import { fileURLToPath } from 'node:url';
import { marksKey, type Way, withMarks } from './ways.js';

/** Which files get marks. */
export const markedFiles = /\/src\/agent\/box\/layouts\/[^/]+\.js$/;

export interface ReachedWay extends Way {
  readonly path: string;
  readonly isReached: boolean;
}

const marks = new Map<string, Uint8Array>();

/** From here on every file of the layouts is loaded with marks in it. */
export function startMarking(): void {
  const open = (path: string, size: number) => {
    const list = new Uint8Array(size);
    marks.set(path, list);
    return list;
  };
  Object.defineProperty(globalThis, marksKey, { value: { open } });
  register('./marking-hooks.js', import.meta.url);
}

/** Every way of every file that was loaded since. */
export function reachedWays(): readonly ReachedWay[] {
  return [...marks].flatMap(([url, list]) => {
    const path = fileURLToPath(url);
    const { ways } = withMarks(readFileSync(path, 'utf8'), url);
    return ways.map((way, index) => ({ ...way, path, isReached: list[index] === 1 }));
  });
}
