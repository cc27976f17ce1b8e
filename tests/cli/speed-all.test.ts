import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { type Control, openControl } from '../../src/agent/control.js';
import type { StoreWriter } from '../../src/agent/store/store.js';
import { openStore } from '../../src/agent/store/write.js';
import type { AgentRequest } from '../../src/checks/request.js';
import { exitCodes, UserError } from '../../src/checks/user-error.js';
import { readCommandLine } from '../../src/cli/options.js';
import { speed } from '../../src/cli/speed.js';
import { SampleClock } from '../web/sample-clock.js';

const sleeper = 'LK-0002';

describe('speed drive all', () => {
  let folder: string;
  let store: StoreWriter;
  let control: Control;
  /** Drives in the order in which they were asked for, and those under way at the time. */
  let asked: string[];
  let underWay: Set<string>;
  let mostAtOnce: number;

  beforeEach(async () => {
    folder = mkdtempSync(join(tmpdir(), 'bayward-speed-all-'));
    const clock = new SampleClock();
    store = openStore(join(folder, 'store.sqlite'), clock);
    const boot = store.beginBoot(clock.bootId, clock.wallMs());
    const at = { boot, monoMs: 1000, wallMs: clock.wallMs() };
    for (const name of ['LK-0001', sleeper, 'LK-0003']) {
      store.keepPart(
        {
          kind: 'drive',
          identityKey: `drive:${name}`,
          name,
          label: name,
          details: {},
        },
        at,
      );
    }
    asked = [];
    underWay = new Set();
    mostAtOnce = 0;
    const status = () => ({
      running: [...underWay].map((drive) => ({
        kind: 'speed',
        run: asked.indexOf(drive) + 1,
        drive,
      })),
    });
    const start = (drive: string) => {
      asked.push(drive);
      if (drive === sleeper) {
        const text = 'The drive sleeps and is not woken for this';
        throw new UserError('asleep', text, { exitCode: exitCodes.refusedForSafety });
      }
      underWay.add(drive);
      mostAtOnce = Math.max(mostAtOnce, underWay.size);
      const run = asked.length;
      setTimeout(() => {
        keepOne(drive, run, at);
        underWay.delete(drive);
      }, 30);
      return { runs: [{ run, drive }] };
    };
    control = await openControl({
      socketFile: join(folder, 'agent.sock'),
      group: null,
      handle: async (request: AgentRequest) =>
        request.request === 'status' ? status() : start(request.drive ?? ''),
    });
  });

  afterEach(async () => {
    await control.close();
    store.close();
    rmSync(folder, { recursive: true, force: true });
  });

  function keepOne(
    drive: string,
    run: number,
    at: { boot: number; monoMs: number; wallMs: number },
  ) {
    store.keepSpeed(store.partByName(drive)?.id ?? 0, at, {
      run,
      path: `drive:${drive}`,
      direction: 'read',
      streams: 1,
      place: 0,
      bytesPerSecond: 150e6,
      low: 149e6,
      high: 151e6,
      seconds: 1,
      conditions: { temperature: null, otherLoad: 0, linkSpeed: null, lanes: null },
      complete: true,
      verdict: 'met',
    });
  }

  async function run(...more: string[]) {
    const lines: string[] = [];
    const spy = vi.spyOn(console, 'log').mockImplementation((line: string) => {
      lines.push(line);
    });
    const words = ['speed', 'drive', 'all', '--store', join(folder, 'store.sqlite')];
    const line = readCommandLine([...words, '--socket', join(folder, 'agent.sock'), ...more]);
    const code = await speed(line).finally(() => spy.mockRestore());
    return { code, lines };
  }

  it('measures one drive after another, never two together', async () => {
    await run();
    expect(asked).toEqual(['LK-0001', sleeper, 'LK-0003']);
    expect(mostAtOnce).toBe(1);
  });

  it('tells the drive that was refused and goes on with the next', async () => {
    const { code, lines } = await run();
    expect(lines).toContain(
      `Drive ${sleeper}: not measured. The drive sleeps and is not woken for this`,
    );
    expect(lines.join('\n')).toContain('Drive LK-0003, reading only:');
    expect(code).toBe(exitCodes.interrupted);
  });

  it('tells it to programs as a result that is not complete', async () => {
    const { lines } = await run('--json');
    const results = lines.map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(results.map(({ path, complete }) => [path, complete])).toEqual([
      ['drive:LK-0001', true],
      [`drive:${sleeper}`, false],
      ['drive:LK-0003', true],
    ]);
  });
});
