import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { DriveAddress } from '../../../src/agent/box/box.js';
import { addressOf as memoryAddressOf } from '../../../src/agent/box/ffi.js';
import { identifyDevice } from '../../../src/agent/box/layouts/commands-ata.js';
import { identifyController } from '../../../src/agent/box/layouts/commands-nvme.js';
import { inquiry } from '../../../src/agent/box/layouts/commands-scsi.js';
import { createLinuxBox } from '../../../src/agent/box/linux-box.js';
import { blockSuite, reading, valueIn, writing } from '../../box/block-suite.js';

/** A block device over a file of our own; the only device that these tests write to. */
const isRoot = process.geteuid?.() === 0;
const why = isRoot ? '' : ' (skipped: attaching a loop device needs root)';
const sizeBytes = 8 * 1024 * 1024;

function addressOf(devicePath: string): DriveAddress {
  const name = devicePath.replace('/dev/', '');
  const deviceNumber = readFileSync(`/sys/class/block/${name}/dev`, 'utf8').trim();
  return { devicePath, deviceNumber, reachedBy: 'virtual' };
}

function attachLoop() {
  const folder = mkdtempSync(join(tmpdir(), 'bayward-box-'));
  const file = join(folder, 'disk.img');
  writeFileSync(file, '');
  truncateSync(file, sizeBytes);
  const loop = execFileSync('losetup', ['--find', '--show', file], { encoding: 'utf8' }).trim();
  const dispose = () => {
    execFileSync('losetup', ['--detach', loop]);
    rmSync(folder, { recursive: true });
  };
  return { file, loop, drive: addressOf(loop), dispose };
}

if (isRoot) {
  blockSuite('a loop device', () => {
    const { file, drive, dispose } = attachLoop();
    return { box: createLinuxBox(), drive, sizeBytes, model: file, serial: '', dispose };
  });
}

// Attaching a loop device needs root; without it nothing here may write to any device.
describe.skipIf(!isRoot)(`a loop device${why}`, () => {
  let attached: ReturnType<typeof attachLoop>;
  let drive: DriveAddress;
  const box = createLinuxBox();

  beforeAll(() => {
    attached = attachLoop();
    drive = attached.drive;
  });

  afterAll(() => attached.dispose());

  it('gets buffers that lie on a page boundary, whatever their length', async () => {
    const handle = valueIn(await box.openBlocks(drive, reading));
    for (const bytes of [512, 4096, 1_048_576]) {
      const buffer = handle.makeBuffer(bytes);
      expect(buffer.length).toBe(bytes);
      expect(memoryAddressOf(buffer) % 4096n).toBe(0n);
    }
    await handle.close();
  });

  it('holds in the file behind it what was written, once flushed', async () => {
    const handle = valueIn(await box.openBlocks(drive, writing));
    valueIn(await handle.write(4096, handle.makeBuffer(512).fill(0xc3)));
    await handle.flush();
    await handle.close();
    const behind = readFileSync(attached.file);
    expect([behind[4095], behind[4096], behind[4607], behind[4608]]).toEqual([0, 0xc3, 0xc3, 0]);
  });

  it('tells its disk sequence, which no later device will have', async () => {
    const handle = valueIn(await box.openBlocks(drive, reading));
    const { diskSequence } = valueIn(await handle.identity());
    await handle.close();
    const name = attached.loop.replace('/dev/', '');
    expect(diskSequence).toBe(readFileSync(`/sys/block/${name}/diskseq`, 'utf8').trim());
    expect(Number(diskSequence)).toBeGreaterThan(0);
  });

  it('is gone when the node is another device than expected', async () => {
    const other = { ...drive, deviceNumber: '7:4095' };
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
    const handle = valueIn(await box.openBlocks(drive, writing));
    await handle.close();
    expect(handle.sizeBytes).toBe(sizeBytes);
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
    expect(Object.keys(facts).sort()).toEqual(['board', 'memoryModules', 'processor']);
  });
});

const hasVirtioDisk = isRoot && statSync('/dev/vda', { throwIfNoEntry: false }) !== undefined;

// Only a virtual machine has such a disk, and only root may open it.
describe.skipIf(!hasVirtioDisk)('the virtual disk of this machine, only read', () => {
  it('says who it is, or in words that this process may not open it', async () => {
    const opened = await createLinuxBox().openBlocks(addressOf('/dev/vda'), reading);
    // A container may be root and still not be let at the disk.
    if (!opened.ok) {
      expect(opened.absence.kind).toBe('not-permitted');
      expect(opened.absence.text).toMatch(/^Opening \/dev\/vda failed: .*\((EPERM|EACCES)\)/);
      return;
    }
    const handle = valueIn(opened);
    const identity = valueIn(await handle.identity());
    await handle.close();
    const sectors = Number(readFileSync('/sys/block/vda/size', 'utf8'));
    expect(identity.sizeBytes).toBe(sectors * 512);
    expect(identity.serial).toBe(readFileSync('/sys/block/vda/serial', 'utf8').trim());
  });
});
