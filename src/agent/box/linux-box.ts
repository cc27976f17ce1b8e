import { makeBlockHandle } from './block-handle.js';
import {
  type Answer,
  answered,
  type BlockHandle,
  type Box,
  type DriveAddress,
  type ManagementCommand,
  missing,
  type OpenOptions,
} from './box.js';
import { askingFlags, blockFlags, closeQuietly, openDrive } from './descriptors.js';
import { type BlockGeometry, blockGeometry, callAta, callNvme, callScsi } from './device-calls.js';
import { type DriveGate, makeDriveGate, type StartTimer } from './drive-gate.js';
import { type KernelFiles, makeKernelFiles } from './kernel-files.js';
import { KernelLogReader } from './kernel-log.js';
import { readMachineFacts } from './machine-facts.js';
import { askController } from './management-calls.js';
import { readModule } from './module-calls.js';

/**
 * The kernel ends an overdue command itself, at the command's deadline, and tells so. Only when
 * even that does not come, this much later, is the drive given up until its call returns.
 */
const kernelGraceMs = 2_000;

const systemTimer: StartTimer = (ms, fire) => {
  const timer = setTimeout(fire, ms);
  return () => clearTimeout(timer);
};

/**
 * The real machine. `kernelRoot` stands before /sys, /proc and /dev/disk, for recorded trees.
 * A drive is opened for each question and closed after it, so nothing here keeps a drive from
 * being taken out.
 */
export function createLinuxBox(options: { kernelRoot?: string } = {}): Box {
  const gate = makeDriveGate(systemTimer);
  const files = makeKernelFiles(options.kernelRoot ?? '', gate);
  const log = new KernelLogReader('/dev/kmsg');

  return {
    kernelText: files.text,
    kernelBytes: files.bytes,
    kernelFolder: files.folder,
    kernelRealPath: files.realPath,
    ata: (drive, command) => asking(gate, { drive, command }, (fd) => callAta(fd, command)),
    scsi: (drive, command) => asking(gate, { drive, command }, (fd) => callScsi(fd, command)),
    nvme: (drive, command) => asking(gate, { drive, command }, (fd) => callNvme(fd, command)),
    openBlocks: (drive, open) => openBlocks({ gate, files }, drive, open),
    machine: readMachineFacts,
    ...(options.kernelRoot === undefined
      ? {
          kernelLog: (after: number) => log.read(after),
          management: (command: ManagementCommand) => askController(gate, command),
          networkModule: (interfaceName: string) => readModule(gate, interfaceName),
        }
      : {}),
  };
}

interface Question {
  readonly drive: DriveAddress;
  readonly command: { readonly name: string; readonly deadlineMs: number };
}

function asking<T>(
  gate: DriveGate,
  question: Question,
  call: (fd: number) => Promise<Answer<T>>,
): Promise<Answer<T>> {
  const { drive, command } = question;
  return gate.command(laneKey(drive), {
    name: command.name,
    deadlineMs: command.deadlineMs + kernelGraceMs,
    run: async () => {
      const fd = await openDrive(drive, askingFlags);
      if (!fd.ok) return fd;
      try {
        return await call(fd.value);
      } finally {
        await closeQuietly(fd.value);
      }
    },
  });
}

interface OpenedDevice {
  readonly fd: number;
  readonly geometry: BlockGeometry;
}

interface Means {
  readonly gate: DriveGate;
  readonly files: KernelFiles;
}

async function openBlocks(
  means: Means,
  drive: DriveAddress,
  options: OpenOptions,
): Promise<Answer<BlockHandle>> {
  let wanted = true;
  const opened = await means.gate.transfer<OpenedDevice>(laneKey(drive), {
    name: `Opening ${drive.devicePath}`,
    deadlineMs: options.deadlineMs,
    run: async () => {
      const fd = await openDrive(drive, blockFlags(options));
      if (!fd.ok) return fd;
      const geometry = await blockGeometry(fd.value);
      if (geometry.ok && wanted) return answered({ fd: fd.value, geometry: geometry.value });
      await closeQuietly(fd.value);
      return geometry.ok ? missing('timed-out', 'The device opened too late') : geometry;
    },
  });
  // An opening that ends after its deadline has nobody to close it but itself.
  wanted = false;
  if (!opened.ok) return opened;
  const blocks = { ...opened.value, drive, laneKey: laneKey(drive), options };
  return answered(makeBlockHandle(blocks, means.gate, means.files));
}

function laneKey(drive: DriveAddress): string {
  return `${drive.devicePath} ${drive.deviceNumber}`;
}
