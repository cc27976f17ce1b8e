/** Real children over a store: bundled from source each time, so that no stale build is tested. */
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { buildSync } from 'esbuild';

const top = fileURLToPath(new URL('../../..', import.meta.url));
const folder = join(top, 'node_modules/.cache/store-children');

/** Bundles one of the small programs beside this file; returns the path of the program. */
export function bundleChild(name: string): string {
  mkdirSync(folder, { recursive: true });
  const outfile = join(folder, `${name}-${process.pid}.mjs`);
  buildSync({
    entryPoints: [join(top, 'tests/agent/store', `${name}.ts`)],
    outfile,
    bundle: true,
    platform: 'node',
    format: 'esm',
    packages: 'external',
    logLevel: 'error',
  });
  return outfile;
}

export interface Answer {
  readonly status: number | null;
  readonly output: string;
  readonly problems: string;
}

/** Runs a program to its end, as another user when one is named. */
export function runChild(program: string, parameters: readonly string[], user?: number): Answer {
  const identity = user === undefined ? {} : { uid: user, gid: user };
  const child = spawnSync(process.execPath, [program, ...parameters], {
    encoding: 'utf8',
    ...identity,
  });
  return { status: child.status, output: child.stdout, problems: child.stderr };
}

/** Starts a program and collects what it says. */
export function startChild(program: string, parameters: readonly string[]) {
  const child: ChildProcess = spawn(process.execPath, [program, ...parameters], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  let said = '';
  child.stdout?.setEncoding('utf8').on('data', (text: string) => {
    said += text;
  });
  const ended = once(child, 'close');
  return {
    /** Whole lines so far; a line that was cut off does not count. */
    lines: () =>
      said
        .slice(0, said.lastIndexOf('\n') + 1)
        .split('\n')
        .slice(0, -1),
    said: async (word: string) => {
      while (!said.includes(word) && child.exitCode === null) {
        await new Promise((resolve) => setTimeout(resolve, 5));
      }
    },
    kill: async () => {
      child.kill('SIGKILL');
      await ended;
    },
  };
}
