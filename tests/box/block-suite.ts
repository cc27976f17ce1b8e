import { createHash } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type {
  Answer,
  BlockHandle,
  Box,
  DriveAddress,
  OpenOptions,
} from '../../src/agent/box/box.js';

/** A blank drive behind a box, real or simulated, that the suite may write to. */
export interface SuiteDrive {
  readonly box: Box;
  readonly drive: DriveAddress;
  readonly sizeBytes: number;
  readonly model: string;
  readonly serial: string;
  readonly dispose: () => void;
}

export const reading: OpenOptions = { write: false, exclusive: false, deadlineMs: 10_000 };
export const writing: OpenOptions = { write: true, exclusive: true, deadlineMs: 10_000 };

export function valueIn<T>(answer: Answer<T>): T {
  if (!answer.ok) throw new Error(answer.absence.text);
  return answer.value;
}

export function kindOf(answer: Answer<unknown>): string {
  return answer.ok ? 'ok' : answer.absence.kind;
}

/** What every implementation of the seam owes to those who read and write blocks through it. */
export function blockSuite(name: string, make: () => SuiteDrive): void {
  describe(`blocks through the seam: ${name}`, () => {
    let made: SuiteDrive;
    beforeAll(() => {
      made = make();
    });
    afterAll(() => made.dispose());

    async function withHandle<T>(options: OpenOptions, use: (handle: BlockHandle) => Promise<T>) {
      const handle = valueIn(await made.box.openBlocks(made.drive, options));
      try {
        return await use(handle);
      } finally {
        await handle.close();
      }
    }

    it('tell size and block size', async () => {
      await withHandle(reading, async (handle) => {
        expect(handle.sizeBytes).toBe(made.sizeBytes);
        expect(handle.logicalBlockBytes).toBe(512);
      });
    });

    it('keep what was written and flushed, and nothing beside it changes', async () => {
      const pattern = createHash('sha512').update('a stretch').digest();
      const offset = 1_048_576;
      await withHandle(writing, async (handle) => {
        const buffer = handle.makeBuffer(65_536);
        for (let at = 0; at < buffer.length; at += pattern.length) buffer.set(pattern, at);
        expect(valueIn(await handle.write(offset, buffer))).toBe(65_536);
        expect(await handle.flush()).toEqual({ ok: true, value: null });
        const around = handle.makeBuffer(65_536 + 8192);
        expect(valueIn(await handle.read(offset - 4096, around))).toBe(around.length);
        expect(Buffer.compare(around.subarray(4096, -4096), buffer)).toBe(0);
        expect(around.subarray(0, 4096).every((byte) => byte === 0)).toBe(true);
        expect(around.subarray(-4096).every((byte) => byte === 0)).toBe(true);
      });
    });

    it('are there again after closing and opening', async () => {
      await withHandle(writing, async (handle) => {
        valueIn(await handle.write(8192, handle.makeBuffer(512).fill(0x5a)));
      });
      await withHandle(reading, async (handle) => {
        const buffer = handle.makeBuffer(512);
        valueIn(await handle.read(8192, buffer));
        expect(buffer.every((byte) => byte === 0x5a)).toBe(true);
      });
    });

    it('read nothing past the end and less across it', async () => {
      await withHandle(reading, async (handle) => {
        expect(valueIn(await handle.read(made.sizeBytes, handle.makeBuffer(4096)))).toBe(0);
        const across = await handle.read(made.sizeBytes - 4096, handle.makeBuffer(8192));
        expect(valueIn(across)).toBe(4096);
      });
    });

    it('refuse to write past the end', async () => {
      await withHandle(writing, async (handle) => {
        expect(kindOf(await handle.write(made.sizeBytes, handle.makeBuffer(512)))).toBe('refused');
      });
    });

    it('refuse odd lengths and odd places as not supported', async () => {
      await withHandle(reading, async (handle) => {
        const odd = handle.makeBuffer(4096).subarray(0, 100);
        expect(kindOf(await handle.read(0, odd))).toBe('not-supported');
        expect(kindOf(await handle.read(100, handle.makeBuffer(512)))).toBe('not-supported');
      });
    });

    it('cannot be written through a handle that was opened for reading', async () => {
      await withHandle(reading, async (handle) => {
        expect(kindOf(await handle.write(0, handle.makeBuffer(4096)))).toBe('aborted');
      });
    });

    it('are held by one exclusive opening at a time', async () => {
      await withHandle(writing, async () => {
        expect(kindOf(await made.box.openBlocks(made.drive, writing))).toBe('busy');
      });
      await withHandle(writing, async (handle) => expect(handle.sizeBytes).toBe(made.sizeBytes));
    });

    it('say who they are through the same handle', async () => {
      await withHandle(reading, async (handle) => {
        expect(valueIn(await handle.identity())).toMatchObject({
          deviceNumber: made.drive.deviceNumber,
          sizeBytes: made.sizeBytes,
          model: made.model,
          serial: made.serial,
        });
      });
    });

    it('move beside each other on one handle', async () => {
      await withHandle(writing, async (handle) => {
        const offsets = [2, 3, 4, 5].map((place) => place * 1_048_576);
        await Promise.all(
          offsets.map(async (offset, index) => {
            const buffer = handle.makeBuffer(65_536).fill(index + 1);
            expect(valueIn(await handle.write(offset, buffer))).toBe(65_536);
          }),
        );
        for (const [index, offset] of offsets.entries()) {
          const buffer = handle.makeBuffer(65_536);
          valueIn(await handle.read(offset, buffer));
          expect(buffer.every((byte) => byte === index + 1)).toBe(true);
        }
      });
    });

    it('answer with an absence after closing, however often it is closed', async () => {
      const handle = valueIn(await made.box.openBlocks(made.drive, reading));
      await handle.close();
      await handle.close();
      const answers = [
        await handle.read(0, handle.makeBuffer(4096)),
        await handle.flush(),
        await handle.identity(),
      ];
      expect(answers.map(kindOf)).toEqual(['aborted', 'aborted', 'aborted']);
    });

    it('are gone when the device is another one than expected', async () => {
      const other = { ...made.drive, deviceNumber: '7:4095' };
      expect(kindOf(await made.box.openBlocks(other, reading))).toBe('gone');
    });
  });
}
