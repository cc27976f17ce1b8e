import { execFileSync } from 'node:child_process';
import { closeSync, existsSync, mkdirSync, openSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, expect, test } from 'vitest';
import { createLinuxBox } from '../../../src/agent/box/linux-box.js';
import { systemClock } from '../../../src/agent/clock.js';
import { driveAtPath } from '../../../src/agent/probes/inventory.js';
import { expectedOf } from '../../../src/agent/workers/prove-drive.js';
import { forkedWorkers } from '../../../src/agent/workers/supervise.js';
import type { WorkerResult } from '../../../src/agent/workers/worker.js';
import { UserError } from '../../../src/checks/user-error.js';
import { type LoopDevice, makeLoopDevice, whyNoLoopDevices } from './loop-device.js';
import { machineEngine } from './loop-engine.js';
import { MemoryStore } from './memory-store.js';

const workerEntry = fileURLToPath(
  new URL('../../../dist/src/agent/workers/drive-worker.js', import.meta.url),
);
const why =
  whyNoLoopDevices() ?? (existsSync(workerEntry) ? null : 'needs the built worker in dist');
if (why !== null) console.warn(`skipped: burn-in on loop devices ${why}`);
// Only root can set up a loop device, and the child is the built program; the line above says so.
const onLoopDevice = test.skipIf(why !== null);
/** Larger than what is looked at as a whole, so that the sampled places have to find it. */
const sizeBytes = 264 * 1024 * 1024;
/** Last digits of 276824064, the size that stands in for a serial number. */
const digits = '4064';

const undo: (() => void)[] = [];
afterEach(() => {
  for (const one of undo.splice(0).reverse()) one();
});

function run(command: string, ...args: string[]): void {
  execFileSync(command, args, { stdio: 'pipe' });
}

function put(file: string, bytes: string | readonly number[], offset: number): void {
  const descriptor = openSync(file, 'r+');
  const buffer = typeof bytes === 'string' ? Buffer.from(bytes) : Buffer.from(bytes);
  writeSync(descriptor, buffer, 0, buffer.length, offset);
  closeSync(descriptor);
}

interface ProtectedState {
  readonly name: string;
  readonly prepare?: (file: string) => void;
  /** Puts the device to use; gives back how to end that. */
  readonly use?: (device: LoopDevice) => () => void;
  readonly parentCode: string;
  readonly childCode: string;
  readonly found?: string;
}

const unknown = { parentCode: 'holds-unknown-data', childCode: 'holds-unknown-data' } as const;
const inUse = { parentCode: 'in-use', childCode: 'in-use' } as const;

const states: readonly ProtectedState[] = [
  {
    name: 'mounted',
    prepare: (file) => run('mkfs.ext4', '-q', '-F', file),
    use: (device) => {
      const at = join(device.folder, 'mounted');
      mkdirSync(at);
      run('mount', '-o', 'ro', device.path, at);
      return () => run('umount', at);
    },
    ...inUse,
  },
  {
    name: 'swap in use',
    prepare: (file) => run('mkswap', '-q', file),
    use: (device) => {
      run('swapon', device.path);
      return () => run('swapoff', device.path);
    },
    ...inUse,
  },
  {
    name: 'shown once more as a loop device',
    use: (device) => {
      const upper = execFileSync('losetup', ['--find', '--show', device.path], {
        encoding: 'utf8',
      }).trim();
      return () => run('losetup', '--detach', upper);
    },
    ...inUse,
  },
  {
    name: 'an ext4 file system',
    prepare: (file) => run('mkfs.ext4', '-q', '-F', file),
    found: 'ext',
    ...unknown,
  },
  {
    name: 'an MBR partition table',
    prepare: (file) => {
      // One partition of type 83h from sector 2048 on; 55AAh at the end of the sector.
      put(file, [0x80, 0, 0, 0, 0x83, 0, 0, 0, 0, 8, 0, 0, 0, 0, 8, 0], 446);
      put(file, [0x55, 0xaa], 510);
    },
    found: 'partition-table',
    ...unknown,
  },
  {
    name: 'only the backup of a GPT at the end',
    prepare: (file) => put(file, 'EFI PART', sizeBytes - 512),
    found: 'gpt-backup',
    ...unknown,
  },
  {
    name: 'only the last ZFS label',
    prepare: (file) =>
      put(file, [0x0c, 0xb1, 0xba, 0, 0, 0, 0, 0], sizeBytes - 256 * 1024 + 128 * 1024 + 5 * 1024),
    found: 'zfs',
    ...unknown,
  },
  {
    name: 'unknown data in the middle',
    prepare: (file) => put(file, 'the only copy of a recorded voice', sizeBytes / 2 - 32_768),
    found: 'unknown-data',
    ...unknown,
  },
];

async function askChild(device: LoopDevice): Promise<WorkerResult> {
  const seen = await driveAtPath(createLinuxBox(), device.path);
  if (!seen.ok) throw new Error(seen.absence.text);
  const start = forkedWorkers({ workerEntry, clock: systemClock() });
  const worker = start(
    {
      do: 'write',
      drive: expectedOf(seen.value),
      fromByte: 0,
      toByte: 1024 * 1024,
      run: 1,
      seed: 'ab'.repeat(16),
      pass: 1,
    },
    { onMessage: (message) => 'ask' in message && worker.send({ go: true }) },
  );
  return worker.ended;
}

for (const state of states) {
  onLoopDevice(
    `${state.name}: parent and child refuse, no byte changes`,
    async () => {
      const device = makeLoopDevice(sizeBytes, state.prepare);
      undo.push(() => device.detach());
      if (state.use !== undefined) undo.push(state.use(device));
      const before = device.checksum();

      const engine = machineEngine({ store: new MemoryStore(), workerEntry, seedOf: 'x' });
      const asked = { drive: device.path, erase: true, digits, askedFrom: 'box' } as const;
      const refusal = await engine.start(asked).then(
        () => null,
        (error: unknown) => error,
      );
      expect(refusal).toBeInstanceOf(UserError);
      expect(refusal).toMatchObject({ code: state.parentCode, exitCode: 4 });
      const offer = await engine.plan(asked);
      if (state.found !== undefined) expect(offer.eraseFound?.split(' ')).toContain(state.found);

      const result = await askChild(device);
      expect(result).toMatchObject({ reason: 'refused', code: state.childCode });
      expect(device.checksum()).toBe(before);
    },
    60_000,
  );
}

onLoopDevice(
  'held open by another program: refused, no byte changes',
  async () => {
    const device = makeLoopDevice(sizeBytes);
    undo.push(() => device.detach());
    const before = device.checksum();
    const seen = await driveAtPath(createLinuxBox(), device.path);
    if (!seen.ok) throw new Error(seen.absence.text);
    const held = await createLinuxBox().openBlocks(seen.value, {
      write: false,
      exclusive: true,
      deadlineMs: 5000,
    });
    if (!held.ok) throw new Error(held.absence.text);
    const engine = machineEngine({ store: new MemoryStore(), workerEntry, seedOf: 'x' });
    const asked = { drive: device.path, erase: true, digits, askedFrom: 'box' } as const;
    await expect(engine.start(asked)).rejects.toMatchObject({ code: 'in-use' });
    expect(await askChild(device)).toMatchObject({ reason: 'refused', code: 'held' });
    await held.value.close();
    expect(device.checksum()).toBe(before);
  },
  60_000,
);

onLoopDevice(
  'consent that names what was found lets just that be erased',
  async () => {
    const device = makeLoopDevice(sizeBytes, (file) => put(file, 'EFI PART', sizeBytes - 512));
    undo.push(() => device.detach());
    const store = new MemoryStore();
    const engine = machineEngine({ store, workerEntry, seedOf: 'x' });
    const asked = { drive: device.path, erase: true, digits, askedFrom: 'box' } as const;
    await expect(engine.start({ ...asked, eraseFound: 'gpt' })).rejects.toThrow(UserError);
    await engine.start({ ...asked, eraseFound: 'unknown-data gpt-backup' });
    for (let turn = 0; turn < 3000 && store.rows[0]?.state === 'running'; turn += 1) {
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
    expect(store.rows[0]).toMatchObject({ state: 'finished', verdict: { advice: 'keep' } });
    await engine.close();
  },
  120_000,
);
