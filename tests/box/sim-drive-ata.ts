import {
  type Answer,
  type AtaCommand,
  type AtaReply,
  answered,
  missing,
} from '../../src/agent/box/box.js';
import { cut, page, putLittle, putSwappedText, withChecksum } from './sim-bytes.js';
import { extendedErrorLog, summaryErrorLog } from './sim-drive-errors.js';
import { identifyLogPage, identifyLogPages } from './sim-drive-identify-log.js';
import { smartData, smartThresholds } from './sim-drive-smart.js';
import type { SimDriveState, SimNature } from './sim-drive-state.js';
import { statisticsPage } from './sim-drive-statistics.js';
import { type SimParts, sectorsOf } from './sim-drive-time.js';

/** Commands that a sleeping disk answers from its electronics alone. */
const answeredAsleep = new Set([0xe5, 0xec, 0xe0]);

export function ataCommand(parts: SimParts, command: AtaCommand): Promise<Answer<AtaReply>> {
  const wakes = !answeredAsleep.has(command.command);
  const { name, deadlineMs } = command;
  return parts.time.attend({ name, deadlineMs, durationMs: 0, wakes }, () => {
    const done = perform(parts, command);
    if (done === null) return missing('refused', `The drive does not do ${name} (it aborted it)`);
    if (done instanceof Uint8Array) {
      return answered({ data: cut(done, command.transferBytes), registers: null });
    }
    const lost = parts.state.faults.losesRegisters || !command.wantRegisters;
    const registers = { error: 0, status: 0x50, device: command.device, ...done };
    return answered({ data: new Uint8Array(0), registers: lost ? null : registers });
  });
}

type Done = Uint8Array | { count: number; lba: number } | null;

function perform(parts: SimParts, command: AtaCommand): Done {
  const { state, nature } = parts;
  switch (command.command) {
    case 0xec:
      return identifyDevicePage(parts);
    case 0xe5:
      return { count: state.standby ? 0x00 : 0xff, lba: 0 };
    case 0xe0:
      state.standby = nature.spins;
      return { count: 0, lba: 0 };
    case 0x2f:
      return readLogExtended(parts, command);
    case 0xb0:
      return state.keeps.smart && command.lba >> 8 === 0xc24f ? smart(parts, command) : null;
    default:
      return null;
  }
}

function smart(parts: SimParts, command: AtaCommand): Done {
  switch (command.feature) {
    case 0xd0:
      return smartData(parts);
    case 0xd1:
      return smartThresholds(parts);
    case 0xd4:
      return selfTest(parts, command.lba & 0xff);
    case 0xd5:
      return smartLog(parts, command);
    case 0xd6:
      return sctAnswer(parts, command);
    case 0xda:
      return { count: 0, lba: parts.state.failing ? 0x2cf400 : 0xc24f00 };
    default:
      return null;
  }
}

/** Action 3 function 2 tells a recovery timer of 7 s; action 5 readies the temperature table. */
function sctAnswer({ state }: SimParts, command: AtaCommand): Done {
  if (!state.keeps.sct || (command.lba & 0xff) !== 0xe0 || !command.dataOut) return null;
  const [action, kind] = [command.dataOut[0], command.dataOut[2]];
  if (action === 3 && kind === 2) return { count: 70, lba: 0xc24f00 };
  return action === 5 && kind === 1 ? { count: 0, lba: 0xc24f00 } : null;
}

function selfTest(parts: SimParts, number: number): Done {
  if (!parts.state.keeps.selfTests) return null;
  if (number === 0x7f) parts.time.endSelfTest(1, null);
  else if (number === 1 || number === 2) parts.time.startSelfTest(number);
  else return null;
  return { count: 0, lba: 0xc24f00 };
}

function smartLog(parts: SimParts, command: AtaCommand): Uint8Array | null {
  const log = command.lba & 0xff;
  const pages = Array.from({ length: command.count }, (_, index) => logPage(parts, log, index));
  return pages.some((one) => one === null) ? null : Buffer.concat(pages as Buffer[]);
}

function readLogExtended(parts: SimParts, command: AtaCommand): Uint8Array | null {
  if (!parts.state.keeps.generalLogs) return null;
  const log = command.lba % 256;
  const first = Math.floor(command.lba / 256) % 256;
  const pages = Array.from({ length: command.count }, (_, index) =>
    logPage(parts, log, first + index),
  );
  return pages.some((one) => one === null) ? null : Buffer.concat(pages as Buffer[]);
}

const statisticsPages = 8;

/** Log number to its pages. */
function directory(parts: SimParts): ReadonlyMap<number, number> {
  const { keeps } = parts.state;
  return new Map([
    [0x01, 1],
    ...(keeps.generalLogs ? ([[0x03, 1]] as const) : []),
    ...(keeps.statistics ? ([[0x04, statisticsPages]] as const) : []),
    ...(keeps.selfTests ? ([[0x06, 1]] as const) : []),
    ...(keeps.selfTests && keeps.generalLogs ? ([[0x07, 1]] as const) : []),
    ...(keeps.generalLogs ? ([[0x11, 1]] as const) : []),
    ...(keeps.generalLogs ? ([[0x30, identifyLogPages]] as const) : []),
    ...(keeps.sct ? ([[0xe0, 1]] as const) : []),
    ...(keeps.sct ? ([[0xe1, 1]] as const) : []),
  ]);
}

function logPage(parts: SimParts, log: number, index: number): Buffer | null {
  const pages = directory(parts);
  if (log === 0x00) return index === 0 ? directoryPage(pages) : null;
  if (index >= (pages.get(log) ?? 0)) return null;
  switch (log) {
    case 0x01:
      return summaryErrorLog(parts.state);
    case 0x03:
      return extendedErrorLog(parts.state);
    case 0x04:
      return statisticsPage(parts, index);
    case 0x06:
      return selfTestLog(parts.state);
    case 0x07:
      return selfTestLogExtended(parts.state);
    case 0x11:
      return linkCounters(parts.state);
    case 0x30:
      return identifyLogPage(parts, index);
    case 0xe0:
      return sctStatusPage(parts.state);
    case 0xe1:
      return sctTablePage(parts.state);
    default:
      return null;
  }
}

function directoryPage(pages: ReadonlyMap<number, number>): Buffer {
  const bytes = page(512);
  bytes.writeUInt16LE(1, 0);
  for (const [log, count] of pages) bytes.writeUInt16LE(count, 2 * log);
  return bytes;
}

/** Log 06h: 21 places of 24 bytes from byte 2, the newest named in byte 508. */
function selfTestLog(state: SimDriveState): Buffer {
  const bytes = page(512);
  bytes.writeUInt16LE(1, 0);
  const places = 21;
  state.selfTests.forEach((entry, index) => {
    const at = 2 + 24 * (index % places);
    bytes.fill(0, at, at + 24);
    bytes[at] = entry.number;
    bytes[at + 1] = entry.result << 4;
    bytes.writeUInt16LE(entry.hours % 65_536, at + 2);
    putLittle(bytes, { at: at + 5, length: 4 }, entry.failingLba ?? 0);
    bytes[508] = (index % places) + 1;
  });
  return withChecksum(bytes);
}

/** Log 07h: 19 places of 26 bytes from byte 4, the newest named in bytes 2 and 3. */
function selfTestLogExtended(state: SimDriveState): Buffer {
  const bytes = page(512);
  bytes[0] = 1;
  const places = 19;
  state.selfTests.forEach((entry, index) => {
    const at = 4 + 26 * (index % places);
    bytes.fill(0, at, at + 26);
    bytes[at] = entry.number;
    bytes[at + 1] = entry.result << 4;
    bytes.writeUInt16LE(entry.hours % 65_536, at + 2);
    putLittle(bytes, { at: at + 5, length: 6 }, entry.failingLba ?? 0);
    bytes.writeUInt16LE((index % places) + 1, 2);
  });
  return withChecksum(bytes);
}

/** Log 11h: counter 001h, commands that ended with an interface CRC error, in 32 bits. */
function linkCounters(state: SimDriveState): Buffer {
  const bytes = page(512);
  bytes.writeUInt16LE(0x2001, 4);
  bytes.writeUInt32LE(state.interfaceCrcErrors, 6);
  return withChecksum(bytes);
}

function sctStatusPage(state: SimDriveState): Buffer {
  const bytes = page(512);
  bytes.writeUInt16LE(3, 0);
  bytes.writeUInt16LE(1, 4);
  bytes[10] = state.selfTestRunning ? 3 : 0;
  bytes.writeInt8(state.temperatureCelsius, 200);
  bytes.writeInt8(Math.min(state.temperatureCelsius, 25), 201);
  bytes.writeInt8(state.temperatureCelsius, 202);
  bytes.writeInt8(state.temperatureLowestCelsius, 203);
  bytes.writeInt8(state.temperatureHighestCelsius, 204);
  return bytes;
}

/** Log E1h: a minute between temperatures, the limits, and a ring of 128 with two of them kept. */
function sctTablePage(state: SimDriveState): Buffer {
  const bytes = page(512);
  bytes.writeUInt16LE(2, 0);
  bytes.writeUInt16LE(1, 4);
  bytes.writeInt8(state.temperatureLimitCelsius, 6);
  bytes.writeInt8(state.temperatureLimitCelsius + 5, 7);
  bytes.writeUInt16LE(128, 30);
  bytes.fill(0x80, 34, 162);
  bytes.writeInt8(state.temperatureLowestCelsius, 34);
  bytes.writeInt8(state.temperatureHighestCelsius, 35);
  return bytes;
}

/** IDENTIFY DEVICE: the words that a disk of today fills in, with its checksum. */
export function identifyDevicePage({ nature, state }: Pick<SimParts, 'nature' | 'state'>): Buffer {
  const bytes = page(512);
  const word = (index: number, value: number) => bytes.writeUInt16LE(value, 2 * index);
  word(0, 0x0040);
  putSwappedText(bytes, { at: 20, length: 20 }, state.serial.padStart(20));
  putSwappedText(bytes, { at: 46, length: 8 }, state.firmware);
  putSwappedText(bytes, { at: 54, length: 40 }, state.model);
  word(49, 0x2f00);
  word(53, 0x0006);
  putLittle(bytes, { at: 120, length: 4 }, Math.min(sectorsOf(nature), 0x0fffffff));
  word(75, 31);
  word(76, 0x850e);
  word(77, state.linkSpeedCode << 1);
  word(80, 0x0ff0);
  const smartBit = state.keeps.smart ? 1 : 0;
  word(82, 0x0068 | smartBit);
  word(83, 0x7400);
  word(85, (state.writeCacheOn ? 0x0068 : 0x0048) | smartBit);
  word(86, 0x3400);
  const logs = (state.keeps.selfTests ? 0x03 : 0x01) | (state.keeps.generalLogs ? 0x20 : 0);
  word(84, 0x4100 | logs);
  word(87, 0x4100 | logs);
  putLittle(bytes, { at: 200, length: 8 }, sectorsOf(nature));
  putBlockSizes(bytes, nature);
  for (let index = 0; index < 4; index += 1) {
    word(108 + index, Number.parseInt(state.worldWideName.slice(4 * index, 4 * index + 4), 16));
  }
  word(168, nature.spins ? 2 : 3);
  word(169, nature.spins ? 0 : 1);
  word(206, state.keeps.sct ? 0x0039 : 0);
  word(217, nature.rotationRpm);
  word(222, 0x1080);
  bytes[510] = 0xa5;
  return withChecksum(bytes);
}

/** Words 106 and 117-118: logical sectors in a physical one, and a logical size of 4 KiB. */
function putBlockSizes(bytes: Buffer, nature: SimNature): void {
  const perPhysical = Math.log2(nature.physicalBlockBytes / nature.logicalBlockBytes);
  const several = perPhysical > 0 ? 0x2000 | perPhysical : 0;
  const large = nature.logicalBlockBytes > 512 ? 0x1000 : 0;
  bytes.writeUInt16LE(0x4000 | several | large, 212);
  if (large) putLittle(bytes, { at: 234, length: 4 }, nature.logicalBlockBytes / 2);
}
