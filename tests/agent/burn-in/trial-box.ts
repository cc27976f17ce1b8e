import { type BurnIns, createBurnIns } from '../../../src/agent/burn-in/engine.js';
import type { BurnInParts } from '../../../src/agent/burn-in/engine-parts.js';
import { measured, type Reading } from '../../../src/checks/reading.js';
import { inProcessWorker } from '../../box/in-process-worker.js';
import { boxWith, MemoryDrive, type MemoryDriveOptions, makeStillClock } from './memory-drive.js';
import { Cut, MemoryStore } from './memory-store.js';

export const seed = '00112233445566778899aabbccddeeff';

export function counters(overrides: Readonly<Record<string, number>> = {}): Reading[] {
  const values = {
    'reallocated-sectors': 0,
    'pending-sectors': 0,
    'drive-verdict': 0,
    ...overrides,
  };
  return Object.entries(values).map(([metric, value]) =>
    measured({ metric, unit: 'count', source: 'invented record' }, value),
  );
}

export interface TrialBox {
  readonly drive: MemoryDrive;
  readonly store: MemoryStore;
  readonly clock: ReturnType<typeof makeStillClock>;
  readonly parts: BurnInParts;
  engine: BurnIns;
  /** A new process on the same rows and the same drive; `bootId` for a new boot. */
  restart(bootId?: string, cut?: { append: number; keeps: boolean }): Promise<void>;
}

/** A drive in memory, a store in memory and the real engine with workers inside this process. */
export function makeTrialBox(
  options: Partial<MemoryDriveOptions> & { readonly parts?: Partial<BurnInParts> } = {},
): TrialBox {
  const clock = makeStillClock();
  const drive = new MemoryDrive({ sizeBytes: 2 * 1024 * 1024, clock, ...options });
  const store = new MemoryStore();
  const partsOn = (onClock: typeof clock): BurnInParts => {
    const box = boxWith(drive);
    const inUse = async () => [] as string[];
    return {
      box,
      clock: onClock,
      store,
      startWorker: inProcessWorker(box, onClock, {
        inUse: options.parts?.inUse ?? inUse,
        capture: async () => ({ taken: '', commandSet: 'ata', pages: [] }),
      }),
      takeReadings: async () => counters(),
      listDrives: async () => (drive.isGone ? [] : [drive.seen]),
      driveAtPath: async (path) => (path === drive.seen.devicePath ? drive.seen : null),
      inUse,
      holdsData: () => false,
      pageMayErase: () => false,
      returnIsOpen: () => true,
      makeSeed: () => seed,
      ...options.parts,
    };
  };
  const parts = partsOn(clock);
  const trial: TrialBox = {
    drive,
    store,
    clock,
    parts,
    engine: createBurnIns(parts),
    restart: async (bootId, cut) => {
      await settle();
      store.restart();
      store.cutAt = cut ?? null;
      drive.exclusive = false;
      const next = bootId === undefined ? clock : { ...makeStillClock(bootId) };
      trial.engine = createBurnIns(partsOn(next));
      await trial.engine.resumeInterrupted().catch((error) => {
        if (!(error instanceof Cut)) throw error;
      });
    },
  };
  return trial;
}

/** Waits until the run has a verdict or waits for somebody. */
export async function untilQuiet(trial: TrialBox, run: number): Promise<void> {
  for (let turn = 0; turn < 20_000; turn += 1) {
    const state = trial.store.rows.find((row) => row.run === run)?.state;
    const live = trial.engine.running().find((work) => work.run === run)?.state ?? state;
    if (state === 'finished' || state === 'stopped') return;
    if (live === 'interrupted' || live === 'paused') return;
    await new Promise((resolve) => setImmediate(resolve));
  }
  throw new Error('The run does not come to rest');
}

/** Lets everything that is under way in this process come to its end. */
export async function settle(): Promise<void> {
  for (let turn = 0; turn < 200; turn += 1) await new Promise((resolve) => setImmediate(resolve));
}

/** Every byte range that the journal allows to be written. */
export function journalledRanges(store: MemoryStore): { fromByte: number; toByte: number }[] {
  return store.entries
    .filter(({ kind }) => kind === 'intent')
    .map(({ body }) => ({ fromByte: Number(body.fromByte), toByte: Number(body.toByte) }));
}
