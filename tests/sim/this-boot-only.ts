import type { Answer, BlockHandle, Box } from '../../src/agent/box/box.js';
import type { Clock } from '../../src/agent/clock.js';
import type { StoreWriter } from '../../src/agent/store/store.js';
import type { SimClock } from '../box/sim-clock.js';

/** Whether the process that was started in this boot still lives. */
export type IsAlive = () => boolean;

/** Somebody who waits for this is gone: nothing after it is ever carried out. */
function never<T>(): Promise<T> {
  return new Promise(() => undefined);
}

/** The clock of one process: whoever sleeps when the power goes never wakes up. */
export function clockOfProcess(clock: SimClock, isAlive: IsAlive): Clock {
  return {
    bootId: clock.bootId,
    bootMs: () => clock.bootMs(),
    wallMs: () => clock.wallMs(),
    fineMs: () => clock.fineMs(),
    sleep: async (ms) => {
      await clock.sleep(ms);
      if (!isAlive()) await never();
    },
  };
}

/** The seam of one process: answers that come after its end reach nobody. */
export function boxOfProcess(box: Box, isAlive: IsAlive): Box {
  const kept = async <T>(answer: Promise<T>): Promise<T> => {
    const value = await answer;
    return isAlive() ? value : never<T>();
  };
  const handleOf = (handle: BlockHandle): BlockHandle => ({
    ...handle,
    read: (offset, buffer) => kept(handle.read(offset, buffer)),
    write: (offset, buffer) => kept(handle.write(offset, buffer)),
    flush: () => kept(handle.flush()),
    identity: () => kept(handle.identity()),
    close: () => kept(handle.close()),
  });
  return {
    kernelText: (path) => kept(box.kernelText(path)),
    kernelBytes: (path) => kept(box.kernelBytes(path)),
    kernelFolder: (path) => kept(box.kernelFolder(path)),
    kernelRealPath: (path) => kept(box.kernelRealPath(path)),
    ata: (drive, command) => kept(box.ata(drive, command)),
    scsi: (drive, command) => kept(box.scsi(drive, command)),
    nvme: (drive, command) => kept(box.nvme(drive, command)),
    openBlocks: async (drive, options): Promise<Answer<BlockHandle>> => {
      const opened = await kept(box.openBlocks(drive, options));
      return opened.ok ? { ok: true, value: handleOf(opened.value) } : opened;
    },
    machine: () => kept(box.machine()),
    ...kernelLogOf(box, kept),
    ...managementOf(box, kept),
    ...moduleOf(box, kept),
  };
}

type Kept = <T>(answer: Promise<T>) => Promise<T>;

function kernelLogOf({ kernelLog }: Box, kept: Kept): Partial<Box> {
  return kernelLog === undefined ? {} : { kernelLog: (after) => kept(kernelLog(after)) };
}

function managementOf({ management }: Box, kept: Kept): Partial<Box> {
  return management === undefined ? {} : { management: (command) => kept(management(command)) };
}

function moduleOf({ networkModule }: Box, kept: Kept): Partial<Box> {
  return networkModule === undefined ? {} : { networkModule: (name) => kept(networkModule(name)) };
}

/** The store of one process: after its end each call fails, so that a late one is noticed. */
export function storeOfProcess(store: StoreWriter, isAlive: IsAlive): StoreWriter {
  return new Proxy(store, {
    get: (target, name) => {
      if (!isAlive() && name !== 'close') {
        throw new Error(`The store was asked for ${String(name)} after the process had ended`);
      }
      const found: unknown = Reflect.get(target, name);
      return typeof found === 'function' ? found.bind(target) : found;
    },
  });
}
