import { expect, test } from 'vitest';
import { createBurnIns } from '../../../src/agent/burn-in/engine.js';
import { collectPages } from '../../../src/agent/probes/collect-pages.js';
import { driveInUse } from '../../../src/agent/probes/in-use.js';
import { interpret } from '../../../src/agent/probes/interpret.js';
import { driveAtPath, takeInventory } from '../../../src/agent/probes/inventory.js';
import type { DriveSeen } from '../../../src/checks/part.js';
import { inProcessWorker } from '../../box/in-process-worker.js';
import { makeSimBox, type SimBox, type SimSeatOptions } from '../../box/sim-box.js';
import { makeSimClock, type SimClock } from '../../box/sim-clock.js';
import { MemoryStore } from './memory-store.js';

const ahci = '0000:00:17.0';
const sas = '0000:02:00.0';
const nvme = '0000:01:00.0';
const sizeBytes = 8 * 1024 * 1024;

function pci(address: string, pciClass: string, driver: string) {
  const link = { speed: null, lanes: null, speedMax: null, lanesMax: null };
  return { address, above: null, pciClass, vendor: 'f0a1', device: '0610', driver, ...link };
}

function seat(
  kind: SimSeatOptions['drive']['kind'],
  serial: string,
  place: SimSeatOptions['place'],
): SimSeatOptions {
  const wwn = `5f0a1000${serial.slice(-4).padStart(8, '1')}`;
  return {
    drive: {
      kind,
      serial,
      model: 'Tolvane Invented',
      worldWideName: wwn,
      capacityBytes: sizeBytes,
    },
    place,
  };
}

/** One drive of each kind that can be asked for its records. */
function boxOfThree(clock: SimClock): SimBox {
  return makeSimBox({
    clock,
    seed: 7,
    machine: { hostName: 'bench', board: null, processor: null, memoryBytes: 0, kernel: 'x' },
    pci: [pci(ahci, '010601', 'ahci'), pci(sas, '010700', 'sas'), pci(nvme, '010802', 'nvme')],
    hosts: [
      { pci: ahci, kind: 'ahci', ports: 4, portBitsPerSecond: 6e9 },
      { pci: sas, kind: 'sas', ports: 4, portBitsPerSecond: 12e9 },
    ],
    networks: [],
    chips: [],
    drives: [
      seat('sata-disk', 'TA0001111', { pci: ahci, port: 1 }),
      seat('sas-disk', 'TS0002222', { pci: sas, port: 0 }),
      seat('nvme', 'TN0003333', { pci: nvme, port: 0 }),
    ],
  });
}

function engineOn(box: SimBox, store: MemoryStore) {
  const { clock } = box;
  const capture = async (drive: DriveSeen) => {
    const options = { taken: '2024-05-01T10:00:00.000Z', rare: true, skipIfAsleep: false };
    return (await collectPages(box, drive, options)).capture;
  };
  return createBurnIns({
    box,
    clock,
    store,
    startWorker: inProcessWorker(box, clock, {
      inUse: (drive) => driveInUse(box, drive),
      capture: async () => ({ taken: '', commandSet: 'ata', pages: [] }),
    }),
    takeReadings: async (drive) => interpret(await capture(drive)).readings,
    listDrives: async () => (await takeInventory(box)).drives,
    driveAtPath: async (path) => {
      const found = await driveAtPath(box, path);
      return found.ok ? found.value : null;
    },
    inUse: (drive) => driveInUse(box, drive),
    holdsData: () => false,
    pageMayErase: () => false,
    returnIsOpen: () => true,
    makeSeed: () => '0f'.repeat(16),
  });
}

async function untilAllAtRest(store: MemoryStore): Promise<void> {
  for (let turn = 0; turn < 100_000; turn += 1) {
    if (store.rows.every(({ state }) => state !== 'running')) return;
    await new Promise((resolve) => setImmediate(resolve));
  }
  throw new Error('The runs do not come to rest');
}

const serials = ['TA0001111', 'TS0002222', 'TN0003333'];

test('drives of each kind are burnt in side by side, each by its own worker', async () => {
  const box = boxOfThree(makeSimClock(1_714_550_400_000));
  const store = new MemoryStore();
  const engine = engineOn(box, store);
  for (const drive of serials) {
    await engine.start({ drive, erase: true, digits: drive.slice(-4), askedFrom: 'box' });
  }
  expect(engine.running()).toHaveLength(3);
  await untilAllAtRest(store);
  expect(store.rows.map(({ drive, state }) => [drive, state])).toEqual(
    serials.map((serial) => [serial, 'finished']),
  );
  for (const row of store.rows) {
    expect(row.verdict?.reasons, row.drive).toEqual([]);
    expect(row.verdict?.advice, row.drive).toBe('keep');
  }
});

test('the drive with faults is blamed for its own and for nothing of its neighbours', async () => {
  const box = boxOfThree(makeSimClock(1_714_550_400_000));
  const store = new MemoryStore();
  const engine = engineOn(box, store);
  const { faults } = box.seat('TA0001111').drive.state;
  faults.badSectors.set(9000, 'unreadable');
  faults.droppedWrites.add(12_000);
  faults.misplacedWrites.set(14_000, 3000);
  faults.flips.set(6000, { byte: 77, bits: 4 });
  for (const drive of serials) {
    await engine.start({
      drive,
      erase: true,
      digits: drive.slice(-4),
      askedFrom: 'box',
      ...(drive === 'TA0001111' ? { eraseFound: 'unknown-data unreadable-place' } : {}),
    });
  }
  await untilAllAtRest(store);
  const [faulty, ...sound] = store.rows;
  expect(faulty?.verdict?.advice).toBe('return');
  const errors = store.entries
    .filter(({ run }) => run === faulty?.run)
    .flatMap(({ body }) => (body.errors as { lba: number; kind: string }[]) ?? [])
    .map(({ lba, kind }) => `${lba} ${kind}`);
  expect(errors).toEqual([
    '9000 unreadable',
    '3000 misplaced',
    '6000 damaged',
    '12000 stale',
    '14000 stale',
  ]);
  expect(sound.map(({ verdict }) => verdict?.advice)).toEqual(['keep', 'keep']);
});

test('a drive of false size is unmasked', async () => {
  const box = boxOfThree(makeSimClock(1_714_550_400_000));
  const store = new MemoryStore();
  box.seat('TN0003333').drive.state.faults.wrapBytes = 2 * 1024 * 1024;
  const engine = engineOn(box, store);
  await engine.start({ drive: 'TN0003333', erase: true, digits: '3333', askedFrom: 'box' });
  await untilAllAtRest(store);
  expect(store.rows[0]?.verdict?.advice).toBe('return');
  // 8 MiB written into 2 MiB: the last quarter reads right, three quarters do not: 12 288 sectors.
  expect(store.rows[0]?.verdict?.reasons).toContainEqual({
    code: 'false-capacity',
    measured: 12_288,
    expected: 0,
    source: 'what this run wrote or read at each address',
  });
});

test('a drive that is mounted, or held, is refused by what the kernel tells', async () => {
  const box = boxOfThree(makeSimClock(1_714_550_400_000));
  const store = new MemoryStore();
  const engine = engineOn(box, store);
  box.seat('TA0001111').drive.state.held = true;
  const asked = { drive: 'TA0001111', erase: true, digits: '1111', askedFrom: 'box' } as const;
  await expect(engine.start(asked)).rejects.toMatchObject({ code: 'in-use', exitCode: 4 });
  expect(store.rows).toEqual([]);
});
