import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { systemClock } from '../../../src/agent/clock.js';
import type { FromWorker, WorkerTask } from '../../../src/agent/workers/protocol-types.js';
import { forkedWorkers, type WorkerLimits } from '../../../src/agent/workers/supervise.js';
import type { Worker } from '../../../src/agent/workers/worker.js';

const task: WorkerTask = {
  do: 'write',
  drive: {
    address: { devicePath: '/dev/none', deviceNumber: '0:0', reachedBy: 'virtual' },
    serial: '',
    model: '',
    sizeBytes: 4096,
    diskSequence: null,
  },
  fromByte: 0,
  toByte: 4096,
  run: 1,
  seed: '0'.repeat(32),
  pass: 1,
};

/** Short, but long enough for a busy machine to start a process. */
const shortLimits: Partial<WorkerLimits> = {
  startMs: 15_000,
  silenceMs: 1500,
  progressMs: 1500,
  askMs: 200,
  terminateMs: 300,
  killMs: 5000,
  messagesMax: 500,
};

function startFixture(name: string, limits: Partial<WorkerLimits> = {}) {
  const workerEntry = fileURLToPath(new URL(`fixtures/${name}.mjs`, import.meta.url));
  const start = forkedWorkers({
    workerEntry,
    clock: systemClock(),
    limits: { ...shortLimits, ...limits },
  });
  const messages: FromWorker[] = [];
  let worker: Worker | null = null;
  worker = start(task, {
    onMessage: (message) => {
      messages.push(message);
      if ('ask' in message) worker?.send({ go: true });
    },
  });
  return { worker, messages };
}

test('a worker that does its work is done, and everything it said was heard', async () => {
  const { worker, messages } = startFixture('works');
  const result = await worker.ended;
  expect(result).toMatchObject({ reason: 'done', exitCode: 0, signal: null, code: null });
  expect(messages.filter((message) => 'ask' in message)).toHaveLength(4);
  expect(messages.filter((message) => 'progress' in message)).toHaveLength(4);
});

test('a worker gets an empty environment but for the pool size, and no arguments', async () => {
  const { worker } = startFixture('obeys');
  const result = await worker.ended;
  expect(result).toMatchObject({ reason: 'refused', code: 'facts' });
  const facts = JSON.parse(result.text);
  const own = ['NODE_CHANNEL_FD', 'NODE_CHANNEL_SERIALIZATION_MODE', 'UV_THREADPOOL_SIZE'];
  expect(facts.environment.filter((name: string) => !own.includes(name))).toEqual([]);
  expect(facts).toMatchObject({ args: [], execArgv: [] });
});

test('a worker that never starts is timed out', async () => {
  const { worker } = startFixture('never-starts', { startMs: 500 });
  const result = await worker.ended;
  expect(result).toMatchObject({ reason: 'timed-out', signal: 'SIGTERM' });
  expect(result.text).toBe('The worker did not start in time');
});

test('a worker that hangs is timed out and ended by SIGTERM', async () => {
  const { worker } = startFixture('hangs');
  const result = await worker.ended;
  expect(result).toMatchObject({ reason: 'timed-out', signal: 'SIGTERM' });
  expect(result.text).toBe('The worker gave no sign of life in time');
});

test('a worker that lives but does not move is timed out and, as it ignores all, killed', async () => {
  const { worker } = startFixture('ignores');
  const result = await worker.ended;
  expect(result).toMatchObject({ reason: 'timed-out', signal: 'SIGKILL', atByte: 4096 });
  expect(result.text).toBe('The worker made no progress in time');
});

test('a worker that cannot be ended is stuck, and that is told instead of waiting on', async () => {
  const { worker } = startFixture('ignores', { terminateMs: 0, killMs: 0 });
  const result = await worker.ended;
  expect(result.reason).toBe('stuck');
  expect(result.text).toContain('could not be ended by force');
});

test.each([
  ['babbles', 'what is not a message'],
  ['other-version', 'what is not a message'],
  ['floods', 'more messages than it may'],
])('a worker that %s is ended', async (name, text) => {
  const { worker, messages } = startFixture(name);
  const result = await worker.ended;
  expect(result.reason).toBe('child-died');
  expect(result.text).toContain(text);
  expect(messages).toEqual([]);
});

test('a worker that dies is told with its exit code', async () => {
  const { worker } = startFixture('dies');
  expect(await worker.ended).toMatchObject({ reason: 'child-died', exitCode: 7, signal: null });
});

test('a worker entry that is not there is a worker that died', async () => {
  const { worker } = startFixture('not-there');
  expect((await worker.ended).reason).toBe('child-died');
});

test('a cancelled worker is cancelled, and the first reason stays', async () => {
  const { worker } = startFixture('never-starts', { startMs: 60_000 });
  worker.cancel();
  worker.cancel();
  expect(await worker.ended).toMatchObject({ reason: 'cancelled', signal: 'SIGTERM' });
});

test('no fixture is left running', () => {
  const children = readFileSync(`/proc/${process.pid}/task/${process.pid}/children`, 'utf8');
  const running = children
    .split(' ')
    .filter((pid) => pid.trim() !== '')
    .filter((pid) => commandLine(pid).includes('/fixtures/'));
  expect(running).toEqual([]);
});

function commandLine(pid: string): string {
  try {
    return readFileSync(`/proc/${pid}/cmdline`, 'utf8');
  } catch {
    return '';
  }
}
