import { fsync, read, write } from 'node:fs';
import { promisify } from 'node:util';
import { makeAlignedBuffer } from './aligned-buffer.js';
import {
  type Answer,
  answered,
  type BlockHandle,
  type DriveAddress,
  missing,
  type OpenOptions,
} from './box.js';
import { closeQuietly } from './descriptors.js';
import type { BlockGeometry } from './device-calls.js';
import type { DriveGate } from './drive-gate.js';
import { deviceAbsence } from './errno-class.js';
import type { KernelFiles } from './kernel-files.js';
import { openIdentity } from './open-identity.js';

const readLater = promisify(read);
const writeLater = promisify(write);
const fsyncLater = promisify(fsync);

export interface OpenBlocks {
  readonly fd: number;
  readonly drive: DriveAddress;
  readonly laneKey: string;
  readonly geometry: BlockGeometry;
  readonly options: OpenOptions;
}

/**
 * Transfers on one open descriptor. Each has a deadline; a buffer handed to a transfer that ended
 * `timed-out` must not be used again, since the drive may still write into it.
 */
export function makeBlockHandle(
  opened: OpenBlocks,
  gate: DriveGate,
  files: KernelFiles,
): BlockHandle {
  const { fd, geometry, options } = opened;
  const underWay = new Set<Promise<unknown>>();
  let closed = false;

  function transfer<T>(name: string, run: () => Promise<Answer<T>>): Promise<Answer<T>> {
    if (closed) return Promise.resolve(missing('aborted', `${name} was asked after closing`));
    return gate.transfer(opened.laneKey, {
      name,
      deadlineMs: options.deadlineMs,
      run: () => {
        const running = run();
        underWay.add(running);
        return running.finally(() => underWay.delete(running));
      },
    });
  }

  function moving(what: string, move: () => Promise<number>): Promise<Answer<number>> {
    return transfer(what, async () => {
      try {
        return answered(await move());
      } catch (error) {
        return { ok: false, absence: deviceAbsence(what, error) };
      }
    });
  }

  return {
    sizeBytes: geometry.sizeBytes,
    logicalBlockBytes: geometry.logicalBlockBytes,
    makeBuffer: makeAlignedBuffer,
    read: (offset, buffer) =>
      moving(`Reading ${buffer.length} bytes at byte ${offset}`, async () => {
        return (await readLater(fd, buffer, 0, buffer.length, offset)).bytesRead;
      }),
    write: (offset, buffer) =>
      moving(`Writing ${buffer.length} bytes at byte ${offset}`, async () => {
        return (await writeLater(fd, buffer, 0, buffer.length, offset)).bytesWritten;
      }),
    flush: async () => {
      const done = await moving('Flushing', async () => {
        await fsyncLater(fd);
        return 0;
      });
      return done.ok ? answered(null) : done;
    },
    identity: () =>
      transfer('Asking who it is', () => openIdentity(fd, opened.drive.reachedBy, files)),
    async close() {
      if (closed) return;
      closed = true;
      const settled = Promise.allSettled([...underWay]).then(() => closeQuietly(fd));
      await gate.transfer(opened.laneKey, {
        name: 'Closing',
        deadlineMs: options.deadlineMs,
        run: async () => answered(await settled),
      });
    },
  };
}
