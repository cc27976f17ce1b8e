import { spawnSync } from 'node:child_process';
import { closeSync, existsSync, openSync, readFileSync, readSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, expect, test } from 'vitest';
import { systemClock } from '../../../src/agent/clock.js';
import { openStore } from '../../../src/agent/store/write.js';
import { type LoopDevice, makeLoopDevice, whyNoLoopDevices } from './loop-device.js';
import { machineEngine, machineParts } from './loop-engine.js';
import { MemoryStore } from './memory-store.js';

const built = (path: string) => fileURLToPath(new URL(`../../../dist/${path}`, import.meta.url));
const workerEntry = built('src/agent/workers/drive-worker.js');
const agentEntry = built('tests/agent/burn-in/killed-agent.js');
const why =
  whyNoLoopDevices() ?? (existsSync(workerEntry) ? null : 'needs the built worker in dist');
if (why !== null) console.warn(`skipped: burn-in on loop devices ${why}`);
// Only root can set up a loop device, and the child is the built program; the line above says so.
const onLoopDevice = test.skipIf(why !== null);
const sizeBytes = 32 * 1024 * 1024;
/** Last digits of 33554432, the size that stands in for a serial number. */
const digits = '4432';

const devices: LoopDevice[] = [];
afterEach(() => {
  for (const device of devices.splice(0)) device.detach();
});

function loop(prepare?: (file: string) => void): LoopDevice {
  const device = makeLoopDevice(sizeBytes, prepare);
  devices.push(device);
  return device;
}

async function untilOver(store: MemoryStore): Promise<void> {
  for (let turn = 0; turn < 1500; turn += 1) {
    const state = store.rows[0]?.state;
    if (state === 'finished' || state === 'stopped' || state === 'interrupted') return;
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  throw new Error('The run does not end');
}

onLoopDevice(`a real child burns in a loop device`, async () => {
  const device = loop();
  const store = new MemoryStore();
  const engine = machineEngine({ store, workerEntry, seedOf: device.path });
  await engine.start({ drive: device.path, erase: true, digits, askedFrom: 'box' });
  await untilOver(store);
  expect(store.rows[0]?.verdict).toMatchObject({ advice: 'keep', reasons: [] });
  expect(stampMagicAt(device.file, 0)).toBe('BWRD');
  expect(stampMagicAt(device.file, sizeBytes - 512)).toBe('BWRD');
  await engine.close();
});

function stampMagicAt(file: string, offset: number): string {
  const descriptor = openSync(file, 'r');
  const bytes = Buffer.alloc(4);
  readSync(descriptor, bytes, 0, 4, offset);
  closeSync(descriptor);
  return bytes.toString('latin1');
}

onLoopDevice('a child killed by SIGKILL is replaced and the run ends well', async () => {
  const device = loop();
  const store = new MemoryStore();
  const parts = machineParts({ store, workerEntry, seedOf: device.path });
  const append = store.appendJournal.bind(store);
  let intents = 0;
  let killed = 0;
  store.appendJournal = (...row) => {
    if (row[2] === 'intent') intents += 1;
    if (intents === 9 && killed === 0) killed = killOwnWorker();
    return append(...row);
  };
  const { createBurnIns } = await import('../../../src/agent/burn-in/engine.js');
  const engine = createBurnIns(parts);
  await engine.start({ drive: device.path, erase: true, digits, askedFrom: 'box' });
  await untilOver(store);
  expect(killed).toBe(1);
  const events = store.entries.map(({ body }) => body.event);
  expect(events).toContain('worker-failed');
  expect(events).toContain('rechecked');
  expect(store.rows[0]?.verdict).toMatchObject({ advice: 'keep' });
  await engine.close();
});

/** Ends the one drive worker that is a child of this very process. */
function killOwnWorker(): number {
  const children = readFileSync(`/proc/${process.pid}/task/${process.pid}/children`, 'utf8');
  const workers = children
    .split(' ')
    .filter((pid) => pid.trim() !== '')
    .filter((pid) => readFileSync(`/proc/${pid}/cmdline`, 'utf8').includes(workerEntry));
  for (const pid of workers) process.kill(Number(pid), 'SIGKILL');
  return workers.length;
}

onLoopDevice(
  'an agent killed by SIGKILL three times goes on from its store to the verdict',
  () => {
    const device = loop();
    const storeFile = join(device.folder, 'store.sqlite');
    const runs = [30, 90, 40, 0].map((rows) =>
      spawnSync(
        process.execPath,
        [agentEntry, storeFile, device.path, digits, workerEntry, String(rows)],
        { encoding: 'utf8', timeout: 90_000 },
      ),
    );
    expect(runs.map(({ signal }) => signal)).toEqual(['SIGKILL', 'SIGKILL', 'SIGKILL', null]);
    expect(runs.at(-1)).toMatchObject({ status: 0, stderr: '' });
    const store = openStore(storeFile, systemClock());
    const [row] = store.burnIns();
    const journal = store.journal(1);
    store.close();
    expect(row).toMatchObject({ state: 'finished', verdict: { advice: 'keep', reasons: [] } });
    const restarts = journal.filter(({ body }) => body.event === 'restarted');
    expect(restarts.map(({ body }) => body.after)).toEqual([
      'end-of-agent',
      'end-of-agent',
      'end-of-agent',
    ]);
  },
  180_000,
);

onLoopDevice('a byte changed behind the back of the run is found', async () => {
  const device = loop();
  const store = new MemoryStore();
  const append = store.appendJournal.bind(store);
  store.appendJournal = (...row) => {
    const body = row[3] as { stage?: string; outcome?: string };
    if (body.stage === 'stamped-write' && body.outcome === 'complete') {
      damageFile(device.file, 5_000_100);
    }
    return append(...row);
  };
  const engine = machineEngine({ store, workerEntry, seedOf: device.path });
  await engine.start({ drive: device.path, erase: true, digits, askedFrom: 'box' });
  await untilOver(store);
  expect(store.rows[0]?.verdict?.reasons[0]).toMatchObject({
    code: 'damaged-sectors',
    measured: 1,
  });
  const errors = store.entries.flatMap(({ body }) => (body.errors as unknown[]) ?? []);
  // 5 000 100 / 512 = 9765.8
  expect(errors).toEqual([{ lba: 9765, kind: 'damaged' }]);
  await engine.close();
});

function damageFile(file: string, offset: number): void {
  const descriptor = openSync(file, 'r+');
  const byte = Buffer.alloc(1);
  readSync(descriptor, byte, 0, 1, offset);
  byte[0] = byte[0]! ^ 0x10;
  writeSync(descriptor, byte, 0, 1, offset);
  closeSync(descriptor);
}
