import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { buildSync } from 'esbuild';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { threadPoolSizeFor } from '../../../src/agent/thread-pool.js';

/**
 * Five calls that never return beside a healthy reading, in a process of its own with the thread
 * pool sized before its start. A silent drive is stood in for by a pipe that nobody writes to:
 * opening it holds a thread of the pool as a silent ioctl does.
 */
const repository = new URL('../../..', import.meta.url).pathname;
const silent = 5;
const drives = silent + 1;

const childSource = `
import { ioctlLater, fixedBuffer } from '${repository}src/agent/box/ffi.ts';
import { createLinuxBox } from '${repository}src/agent/box/linux-box.ts';
const [root] = process.argv.slice(2);
const box = createLinuxBox({ kernelRoot: root });
for (let drive = 0; drive < ${silent}; drive += 1) {
  const tell = (name) => (answer) => {
    const kind = answer.ok ? 'ok' : answer.absence.kind;
    process.stdout.write(JSON.stringify({ drive, name, kind }) + '\\n');
  };
  const address = { devicePath: root + '/device' + drive, deviceNumber: '8:0', reachedBy: 'ata' };
  box.openBlocks(address, { write: false, exclusive: false, deadlineMs: 5000 }).then(tell('open'));
  for (const name of ['temp1_input', 'temp1_max', 'temp1_crit']) {
    box.kernelText('/sys/class/hwmon/hwmon' + drive + '/' + name).then(tell(name));
  }
}
async function healthy() {
  const text = await box.kernelText('/sys/class/hwmon/hwmon9/temp1_input');
  const call = await ioctlLater(0, { request: 0x1, argument: fixedBuffer(8), pointsTo: [] });
  return { text, errno: call.errno };
}
healthy().then(({ text, errno }) => {
  process.stdout.write(JSON.stringify({ healthy: text.ok ? text.value : text, errno }) + '\\n');
});
`;

interface Line {
  readonly healthy?: string;
  readonly errno?: number;
  readonly drive?: number;
  readonly name?: string;
  readonly kind?: string;
}

describe('five silent drives beside a healthy one', () => {
  let folder: string;
  const children: ChildProcess[] = [];

  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'bayward-silent-'));
    for (let drive = 0; drive < silent; drive += 1) {
      const chip = join(folder, `sys/class/hwmon/hwmon${drive}`);
      mkdirSync(chip, { recursive: true });
      const names = ['temp1_input', 'temp1_max', 'temp1_crit'].map((name) => join(chip, name));
      execFileSync('mkfifo', [...names, join(folder, `device${drive}`)]);
    }
    const good = join(folder, 'sys/class/hwmon/hwmon9');
    mkdirSync(good);
    writeFileSync(join(good, 'temp1_input'), '31000\n');
    buildSync({
      stdin: { contents: childSource, resolveDir: repository, loader: 'ts' },
      outfile: join(folder, 'child.cjs'),
      bundle: true,
      platform: 'node',
      format: 'cjs',
      packages: 'external',
    });
  });

  afterAll(() => {
    // Nothing else ends a process whose pool is stuck: a plain exit waits for the pool.
    for (const child of children) child.kill('SIGKILL');
    rmSync(folder, { recursive: true });
  });

  function start(threads: number): {
    lines: Line[];
    until: (enough: () => boolean) => Promise<void>;
  } {
    const child = spawn(process.execPath, [join(folder, 'child.cjs'), folder], {
      env: {
        ...process.env,
        UV_THREADPOOL_SIZE: String(threads),
        NODE_PATH: join(repository, 'node_modules'),
      },
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    children.push(child);
    const lines: Line[] = [];
    let rest = '';
    child.stdout?.setEncoding('utf8').on('data', (text: string) => {
      const parts = (rest + text).split('\n');
      rest = parts.pop() ?? '';
      lines.push(...parts.map((part) => JSON.parse(part) as Line));
    });
    return {
      lines,
      until: async (enough) => {
        while (!enough()) {
          if (child.exitCode !== null) throw new Error(`The child ended with ${child.exitCode}`);
          await new Promise((resolve) => setTimeout(resolve, 20));
        }
      },
    };
  }

  it('is read at once with a pool sized for the drives; the silent ones end at their deadline', async () => {
    const { lines, until } = start(threadPoolSizeFor(drives));
    await until(() => lines.length > 0);
    // The healthy one is first of all; ENOTTY (25) shows that the ioctl too found a thread.
    expect(lines[0]).toEqual({ healthy: '31000', errno: 25 });
    await until(() => lines.length === 1 + 4 * silent);
    const kindsOf = (name: string) =>
      lines.filter((line) => line.name === name).map((line) => line.kind);
    expect(kindsOf('open')).toEqual(Array(silent).fill('timed-out'));
    expect(kindsOf('temp1_input')).toEqual(Array(silent).fill('timed-out'));
    // The other files of a silent chip are not even tried.
    expect(kindsOf('temp1_max')).toEqual(Array(silent).fill('busy'));
    expect(kindsOf('temp1_crit')).toEqual(Array(silent).fill('busy'));
  }, 60_000);

  it('starves with a pool of four, which is why the pool is sized', async () => {
    const { lines, until } = start(4);
    await until(() => lines.length >= 4 * silent);
    expect(lines.some((line) => line.healthy === '31000')).toBe(false);
  }, 60_000);
});
