import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type {
  Answer,
  BlockHandle,
  Box,
  DriveAddress,
  OpenOptions,
} from '../../../src/agent/box/box.js';
import { addressOf as ffiAddressOf } from '../../../src/agent/box/ffi.js';
import { identifyDevice } from '../../../src/agent/box/layouts/commands-ata.js';
import { identifyController } from '../../../src/agent/box/layouts/commands-nvme.js';
import { inquiry } from '../../../src/agent/box/layouts/commands-scsi.js';
import { createLinuxBox } from '../../../src/agent/box/linux-box.js';

/** A block device over a file of our own; the only device that these tests write to. */
const isRoot = process.geteuid?.() === 0;
const why = isRoot ? '' : ' (skipped: attaching a loop device needs root)';
const size = 8 * 1024 * 1024;
const reading: OpenOptions = { write: false, exclusive: false, deadlineMs: 10_000 };
const writing: OpenOptions = { write: true, exclusive: true, deadlineMs: 10_000 };

function valueIn<T>(answer: Answer<T>): T {
  if (!answer.ok) throw new Error(answer.absence.text);
  return answer.value;
}

function addressOf(devicePath: string): DriveAddress {
  const name = devicePath.replace('/dev/', '');
  const deviceNumber = readFileSync(`/sys/class/block/${name}/dev`, 'utf8').trim();
  return { devicePath, deviceNumber, reachedBy: 'virtual' };
}

describe.skipIf(!isRoot)(`a loop device${why}`, () => {
  let folder: string;
  let file: string;
  let loop: string;
  let drive: DriveAddress;
  let box: Box;

  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'bayward-box-'));
    file = join(folder, 'disk.img');
    writeFileSync(file, '');
    truncateSync(file, size);
    loop = execFileSync('losetup', ['--find', '--show', file], { encoding: 'utf8' }).trim();
    drive = addressOf(loop);
    box = createLinuxBox();
  });

  afterAll(() => {
    execFileSync('losetup', ['--detach', loop]);
    rmSync(folder, { recursive: true });
  });

  async function withHandle<T>(options: OpenOptions, use: (handle: BlockHandle) => Promise<T>) {
    const handle = valueIn(await box.openBlocks(drive, options));
    try {
      return await use(handle);
    } finally {
      await handle.close();
    }
  }

  it('tells its size and block size through the descriptor', async () => {
    await withHandle(reading, async (handle) => {
      expect(handle.sizeBytes).toBe(8_388_608);
      expect(handle.logicalBlockBytes).toBe(512);
    });
  });

  it('gives buffers that lie on a page boundary, whatever their length', async () => {
    await withHandle(reading, async (handle) => {
      for (const bytes of [512, 4096, 1_048_576]) {
        const buffer = handle.makeBuffer(bytes);
        expect(buffer.length).toBe(bytes);
        expect(ffiAddressOf(buffer) % 4096n).toBe(0n);
        expect(valueIn(await handle.read(0, buffer))).toBe(bytes);
      }
    });
  });

  it('writes, flushes and reads back; the file behind holds the same bytes', async () => {
    const pattern = createHash('sha512').update('a stretch').digest();
    await withHandle(writing, async (handle) => {
      const buffer = handle.makeBuffer(65_536);
      for (let at = 0; at < buffer.length; at += pattern.length) buffer.set(pattern, at);
      expect(valueIn(await handle.write(1_048_576, buffer))).toBe(65_536);
      expect(await handle.flush()).toEqual({ ok: true, value: null });
      const back = handle.makeBuffer(65_536);
      expect(valueIn(await handle.read(1_048_576, back))).toBe(65_536);
      expect(Buffer.compare(back, buffer)).toBe(0);
      const before = handle.makeBuffer(4096);
      await handle.read(1_048_576 - 4096, before);
      expect(before.every((byte) => byte === 0)).toBe(true);
    });
    const behind = readFileSync(file).subarray(1_048_576, 1_048_576 + 64);
    expect(behind.equals(pattern)).toBe(true);
  });

  it('reads nothing past the end', async () => {
    await withHandle(reading, async (handle) => {
      const read = await handle.read(size, handle.makeBuffer(4096));
      expect(read).toEqual({ ok: true, value: 0 });
    });
  });

  it('refuses a length that is no multiple of the block size as not supported', async () => {
    await withHandle(reading, async (handle) => {
      const read = await handle.read(0, handle.makeBuffer(4096).subarray(0, 100));
      expect(read.ok ? 'read' : read.absence.kind).toBe('not-supported');
    });
  });

  it('says who it is through the same descriptor', async () => {
    await withHandle(reading, async (handle) => {
      const identity = valueIn(await handle.identity());
      expect(identity.deviceNumber).toBe(drive.deviceNumber);
      expect(identity.sizeBytes).toBe(size);
      expect(identity.model).toBe(file);
      expect(identity.serial).toBe('');
      const name = loop.replace('/dev/', '');
      const sequence = readFileSync(`/sys/block/${name}/diskseq`, 'utf8').trim();
      expect(identity.diskSequence).toBe(sequence);
    });
  });

  it('refuses to write through a handle that was opened for reading', async () => {
    await withHandle(reading, async (handle) => {
      const written = await handle.write(0, handle.makeBuffer(4096));
      expect(written.ok ? 'written' : written.absence.kind).toBe('aborted');
    });
  });

  it('is busy for a second exclusive opening and free after closing', async () => {
    await withHandle(writing, async () => {
      const second = await box.openBlocks(drive, writing);
      expect(second.ok ? 'opened' : second.absence.kind).toBe('busy');
    });
    await withHandle(writing, async (handle) => expect(handle.sizeBytes).toBe(size));
  });

  it('answers after closing with an absence and never touches the descriptor', async () => {
    const handle = valueIn(await box.openBlocks(drive, reading));
    await handle.close();
    await handle.close();
    const read = await handle.read(0, handle.makeBuffer(4096));
    expect(read.ok).toBe(false);
  });

  it('is gone when the node is another device than expected', async () => {
    const other = { ...drive, deviceNumber: '7:4095' };
    const opened = await box.openBlocks(other, reading);
    expect(opened.ok ? 'opened' : opened.absence.kind).toBe('gone');
    const asked = await box.ata({ ...other, reachedBy: 'ata' }, identifyDevice());
    expect(asked.ok ? 'answered' : asked.absence.kind).toBe('gone');
  });

  it('does not support drive commands, and says so for each kind', async () => {
    const answers = [
      await box.ata(drive, identifyDevice()),
      await box.scsi(drive, inquiry()),
      await box.nvme(drive, identifyController()),
    ];
    for (const answer of answers) {
      expect(answer.ok ? 'answered' : answer.absence.kind).toBe('not-supported');
    }
  });

  it('keeps no descriptor open after a question', async () => {
    await box.ata(drive, identifyDevice());
    await withHandle(writing, async (handle) => expect(handle.sizeBytes).toBe(size));
  });
});

describe('this machine', () => {
  const box = createLinuxBox();

  it('reads kernel files without their last line feed', async () => {
    const text = valueIn(await box.kernelText('/proc/sys/kernel/ostype'));
    expect(text).toBe('Linux');
    const bytes = valueIn(await box.kernelBytes('/proc/sys/kernel/ostype'));
    expect(Buffer.from(bytes).toString()).toBe('Linux\n');
  });

  it('lists folders sorted and follows links', async () => {
    const names = valueIn(await box.kernelFolder('/sys/class'));
    expect(names).toEqual([...names].sort());
    expect(names).toContain('block');
    expect(valueIn(await box.kernelRealPath('/sys/class/net/lo'))).toBe(
      '/sys/devices/virtual/net/lo',
    );
  });

  it('tells a missing file from one outside its reach', async () => {
    const absent = await box.kernelText('/sys/class/no-such-class');
    expect(absent.ok ? 'read' : absent.absence.kind).toBe('not-there');
    for (const path of ['/etc/passwd', '/sys/../etc/passwd', '/system']) {
      const outside = await box.kernelText(path);
      expect(outside.ok ? 'read' : outside.absence.kind).toBe('not-permitted');
    }
  });

  it('answers `gone` for a device that is not there', async () => {
    const nobody: DriveAddress = {
      devicePath: '/dev/bayward-no-such-device',
      deviceNumber: '8:0',
      reachedBy: 'ata',
    };
    const asked = await box.ata(nobody, identifyDevice());
    expect(asked.ok ? 'answered' : asked.absence.kind).toBe('gone');
  });

  it('never throws when asked for board and processor', async () => {
    const facts = await box.machine();
    expect(Object.keys(facts).sort()).toEqual(['board', 'processor']);
  });
});

const hasVirtioDisk = isRoot && statSync('/dev/vda', { throwIfNoEntry: false }) !== undefined;

describe.skipIf(!hasVirtioDisk)('the virtual disk of this machine, only read', () => {
  it('says who it is', async (test) => {
    const opened = await createLinuxBox().openBlocks(addressOf('/dev/vda'), reading);
    if (!opened.ok && opened.absence.kind === 'not-permitted') test.skip(opened.absence.text);
    const handle = valueIn(opened);
    const identity = valueIn(await handle.identity());
    await handle.close();
    const sectors = Number(readFileSync('/sys/block/vda/size', 'utf8'));
    expect(identity.sizeBytes).toBe(sectors * 512);
    expect(identity.serial).toBe(readFileSync('/sys/block/vda/serial', 'utf8').trim());
  });
});
