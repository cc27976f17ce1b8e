import { type ChildProcess, spawn } from 'node:child_process';
import { readdirSync } from 'node:fs';
import { endProcess } from '../agent/box/end-process.js';
import { threadPoolSizeFor } from '../agent/thread-pool.js';
import { type ExitCode, exitCodes } from '../checks/user-error.js';
import { badInput, type CommandLine } from './options.js';
import { placesOf } from './places-of.js';

const stopGraceMs = 10_000;

/**
 * Starts the agent and the page as two processes. The agent always runs in a process of its own
 * whose thread pool was sized before it started: asynchronous device calls wait in that pool, and
 * a few silent drives must not use it up.
 */
export async function start(line: CommandLine): Promise<ExitCode> {
  if (line.only === undefined) return supervise(['agent', 'web']);
  if (line.only === 'web') return runWeb(line);
  if (line.only !== 'agent') {
    throw badInput(`Option --only expects "agent" or "web", found "${line.only}"`);
  }
  if (process.env.UV_THREADPOOL_SIZE === undefined) return supervise(['agent']);
  return runAgent(line);
}

async function runAgent(line: CommandLine): Promise<ExitCode> {
  const { startAgent } = await import('../agent/main.js');
  const agent = await startAgent(placesOf(line));
  await untilAskedToStop();
  await agent.stop();
  return endProcess(exitCodes.done);
}

async function runWeb(line: CommandLine): Promise<ExitCode> {
  const { startWeb } = await import('../web/main.js');
  const places = placesOf(line);
  const web = await startWeb({ ...places, host: '127.0.0.1', banner: null });
  console.log(`Page: ${web.address}`);
  await untilAskedToStop();
  await web.close();
  return exitCodes.done;
}

/** By a signal, or by the end of the process that started this one. */
async function untilAskedToStop(): Promise<void> {
  await new Promise<void>((resolve) => {
    process.once('SIGINT', () => resolve());
    process.once('SIGTERM', () => resolve());
    if (process.connected === true) process.once('disconnect', () => resolve());
  });
  // An open channel to the parent would keep a stopped process alive.
  if (process.connected === true) process.disconnect?.();
}

/** Runs the named parts until one ends or a stop is asked for; then ends the others. */
async function supervise(parts: readonly ('agent' | 'web')[]): Promise<ExitCode> {
  const children = parts.map(spawnPart);
  const ends = children.map(
    (child) =>
      new Promise<number>((resolve) => {
        child.on('exit', (code) => resolve(code ?? exitCodes.interrupted));
        child.on('error', () => resolve(exitCodes.interrupted));
      }),
  );
  let asked = false;
  const stopAll = () => children.forEach(stopOne);
  process.on('SIGINT', () => {
    asked = true;
    stopAll();
  });
  process.on('SIGTERM', () => {
    asked = true;
    stopAll();
  });
  const first = await Promise.race(ends);
  stopAll();
  await Promise.all(ends);
  return asked ? exitCodes.done : (first as ExitCode);
}

function spawnPart(part: 'agent' | 'web'): ChildProcess {
  const script = process.argv[1] ?? '';
  return spawn(process.execPath, [script, ...process.argv.slice(2), '--only', part], {
    stdio: ['ignore', 'inherit', 'inherit', 'ipc'],
    env: {
      ...process.env,
      UV_THREADPOOL_SIZE: String(threadPoolSizeFor(countBlockDevices())),
    },
  });
}

function stopOne(child: ChildProcess): void {
  if (child.exitCode !== null || child.signalCode !== null) return;
  child.kill('SIGTERM');
  setTimeout(() => child.kill('SIGKILL'), stopGraceMs).unref();
}

function countBlockDevices(): number {
  try {
    return readdirSync('/sys/block').length;
  } catch {
    return 0;
  }
}
