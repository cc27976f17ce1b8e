import { type Absence, type Answer, answered, type ModuleMemory, missing } from './box.js';
import { closeQuietly } from './descriptors.js';
import type { DriveGate } from './drive-gate.js';
import { deviceAbsence, errnoName } from './errno-class.js';
import { addressOf, fixedBuffer, ioctlLater, openQuestionSocket } from './ffi.js';
import {
  fillInterfaceRequest,
  fillModuleInfo,
  fillModuleMemory,
  interfaceRequestBytes,
  isInterfaceName,
  memoryHeadBytes,
  moduleInfoBytes,
  readModuleInfo,
} from './layouts/ethtool.js';

/** SIOCETHTOOL (Linux include/uapi/linux/sockios.h). */
const requestNumber = 0x8946;
/** Memory of a module is read over a slow wire: 640 bytes take some tenths of a second. */
const deadlineMs = 10_000;
/** The longest memory with a layout that is known (ETH_MODULE_SFF_8636_MAX_LEN). */
const memoryBytesMax = 640;
const firstPartBytes = 256;

/**
 * Reads the memory of the module in a card's plug through the kernel and its driver. Only the two
 * questions that read are asked.
 */
export function readModule(gate: DriveGate, name: string): Promise<Answer<ModuleMemory>> {
  if (!isInterfaceName(name)) {
    return Promise.resolve(missing('not-there', `No network interface can be named "${name}"`));
  }
  return gate.command(`network ${name}`, {
    name: `the module of ${name}`,
    deadlineMs,
    run: () => withSocket((fd) => ask(fd, name)),
  });
}

async function withSocket(
  work: (fd: number) => Promise<Answer<ModuleMemory>>,
): Promise<Answer<ModuleMemory>> {
  const opened = openQuestionSocket();
  if (opened.errno !== 0) {
    return { ok: false, absence: deviceAbsence('Opening a socket', opened.errno) };
  }
  try {
    return await work(opened.fd);
  } finally {
    await closeQuietly(opened.fd);
  }
}

async function ask(fd: number, name: string): Promise<Answer<ModuleMemory>> {
  const info = fixedBuffer(moduleInfoBytes);
  fillModuleInfo(info);
  const told = await question(fd, name, info);
  if (told !== 0) return { ok: false, absence: moduleAbsence(told) };
  const { layout, memoryBytes } = readModuleInfo(info);
  const bytes = Math.min(memoryBytes, memoryBytesMax);
  const whole = await memory(fd, name, bytes);
  if (whole.ok || bytes <= firstPartBytes) return withLayout(whole, layout);
  // Some drivers tell of more pages than they can read.
  return withLayout(await memory(fd, name, firstPartBytes), layout);
}

function withLayout(read: Answer<Uint8Array>, layout: number): Answer<ModuleMemory> {
  return read.ok ? answered({ layout, data: read.value }) : read;
}

async function memory(fd: number, name: string, bytes: number): Promise<Answer<Uint8Array>> {
  const buffer = fixedBuffer(memoryHeadBytes + bytes);
  fillModuleMemory(buffer, bytes);
  const errno = await question(fd, name, buffer);
  if (errno !== 0) return { ok: false, absence: moduleAbsence(errno) };
  return answered(buffer.slice(memoryHeadBytes));
}

/** The error number, 0 for none. */
async function question(fd: number, name: string, about: Uint8Array): Promise<number> {
  const request = fixedBuffer(interfaceRequestBytes);
  fillInterfaceRequest(request, name, addressOf(about));
  const call = await ioctlLater(fd, {
    request: requestNumber,
    argument: request,
    pointsTo: [about],
  });
  return call.returned < 0 ? call.errno : 0;
}

const noQuestion = 'The driver reads no module there: the plug is a fixed one, or it does not tell';
const noAnswer = 'No module answers in the plug: it is empty, or the module keeps no record';

/** What a driver says where there is nothing to read; drivers differ in it (from memory). */
const absences: Readonly<Record<string, Pick<Absence, 'kind' | 'text'>>> = {
  EOPNOTSUPP: { kind: 'not-supported', text: noQuestion },
  ENOTSUP: { kind: 'not-supported', text: noQuestion },
  EIO: { kind: 'not-there', text: noAnswer },
  EINVAL: { kind: 'not-there', text: noAnswer },
  ENXIO: { kind: 'not-there', text: noAnswer },
  EREMOTEIO: { kind: 'not-there', text: noAnswer },
  ENODEV: { kind: 'gone', text: 'The network interface is gone, or its module is not there' },
};

export function moduleAbsence(errno: number): Absence {
  const name = errnoName(errno);
  const known = absences[name];
  if (known !== undefined) return { ...known, text: `${known.text} (${name})` };
  return deviceAbsence('Reading the module in the plug', errno);
}
