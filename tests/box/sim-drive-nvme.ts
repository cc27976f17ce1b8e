import {
  type Answer,
  answered,
  missing,
  type NvmeAdminCommand,
  type NvmeReply,
} from '../../src/agent/box/box.js';
import { cut, page, putLittle, putText } from './sim-bytes.js';
import { nvmeErrorLog } from './sim-drive-errors.js';
import { type SimParts, sectorsOf } from './sim-drive-time.js';

const kelvin = 273;
const selfTestResult: Readonly<Record<number, number>> = { 0: 0, 1: 1, 2: 2, 7: 7 };

export function nvmeCommand(
  parts: SimParts,
  command: NvmeAdminCommand,
): Promise<Answer<NvmeReply>> {
  const { name, deadlineMs } = command;
  return parts.time.attend({ name, deadlineMs, durationMs: 0, wakes: false }, () => {
    if (command.opcode === 0x0a) return featureAnswer(parts, command);
    const record = recordOf(parts, command);
    if (record === null) {
      return missing('not-supported', `The drive does not do ${name} (status 4002h)`);
    }
    return answered({ data: cut(record, command.transferBytes), result: 0 });
  });
}

/** Feature 04h is the limit of the controller page, 06h a cache that is on, 10h not set. */
function featureAnswer({ state }: SimParts, command: NvmeAdminCommand): Answer<NvmeReply> {
  const lower = command.cdw11 === 0x10_0000;
  const values: Readonly<Record<number, number>> = {
    4: lower ? 0 : kelvin + state.temperatureLimitCelsius,
    6: 1,
    16: 0,
  };
  const result = values[command.cdw10];
  if (result === undefined) return missing('not-supported', `No ${command.name} (status 4002h)`);
  return answered({ data: new Uint8Array(0), result });
}

function recordOf(parts: SimParts, command: NvmeAdminCommand): Uint8Array | null {
  if (command.opcode === 0x14) return startSelfTest(parts, command.cdw10 & 0x0f);
  if (command.opcode === 0x06 && command.cdw10 === 1) return identifyControllerPage(parts);
  if (command.opcode === 0x06 && command.cdw10 === 0 && command.nsid === 1) {
    return identifyNamespacePage(parts);
  }
  if (command.opcode === 0x06 && command.cdw10 === 2) return namespaceListPage();
  if (command.opcode !== 0x02) return null;
  const log = command.cdw10 & 0xff;
  if (log === 0x01) return nvmeErrorLog(parts.state, 4);
  if (log === 0x02) return healthLog(parts);
  return log === 0x06 && parts.state.keeps.selfTests ? selfTestLog(parts) : null;
}

function namespaceListPage(): Buffer {
  const bytes = page(4096);
  bytes.writeUInt32LE(1, 0);
  return bytes;
}

function startSelfTest({ time, state }: SimParts, request: number): Uint8Array | null {
  if (!state.keeps.selfTests) return null;
  if (request === 0x0f) time.endSelfTest(1, null);
  else if (request === 1 || request === 2) time.startSelfTest(request);
  else return null;
  return new Uint8Array(0);
}

function identifyControllerPage({ nature, state }: SimParts): Buffer {
  const bytes = page(4096);
  putText(bytes, { at: 4, length: 20 }, state.serial);
  putText(bytes, { at: 24, length: 40 }, state.model);
  putText(bytes, { at: 64, length: 8 }, state.firmware);
  bytes[77] = 5;
  bytes.writeUInt32LE(0x00010400, 80);
  bytes.writeUInt16LE(state.keeps.selfTests ? 0x0010 : 0, 256);
  bytes[262] = 3;
  bytes.writeUInt16LE(kelvin + state.temperatureLimitCelsius, 266);
  bytes.writeUInt16LE(kelvin + state.temperatureLimitCelsius + 10, 268);
  putLittle(bytes, { at: 280, length: 16 }, nature.capacityBytes);
  bytes.writeUInt16LE(state.selfTestExtendedMinutes, 316);
  bytes[322] = 1;
  bytes.writeUInt32LE(1, 516);
  bytes[520] = 4;
  bytes[525] = 1;
  return bytes;
}

function identifyNamespacePage({ nature, state }: SimParts): Buffer {
  const bytes = page(4096);
  for (const at of [0, 8, 16]) putLittle(bytes, { at, length: 8 }, sectorsOf(nature));
  bytes[130] = Math.log2(nature.logicalBlockBytes);
  Buffer.from(state.worldWideName, 'hex').copy(bytes, 120);
  return bytes;
}

/** Units of data are 1000 blocks of 512 bytes, rounded up. */
function healthLog({ state }: SimParts): Buffer {
  const bytes = page(512);
  const counter = (at: number, value: number) => putLittle(bytes, { at, length: 16 }, value);
  bytes[0] = state.criticalWarning;
  bytes.writeUInt16LE(kelvin + state.temperatureCelsius, 1);
  bytes[3] = state.spareLeftPercent;
  bytes[4] = state.spareLimitPercent;
  bytes[5] = Math.min(255, state.enduranceUsedPercent);
  counter(32, Math.ceil(state.bytesRead / 512_000));
  counter(48, Math.ceil(state.bytesWritten / 512_000));
  counter(112, state.powerCycles);
  counter(128, state.powerOnHours);
  counter(144, state.unsafeShutdowns);
  counter(160, state.mediaErrors);
  counter(176, state.mediaErrors);
  bytes.writeUInt16LE(kelvin + state.temperatureCelsius, 200);
  return bytes;
}

/** 20 results of 28 bytes from byte 4, newest first; unused ones say Fh. */
function selfTestLog({ state, time }: SimParts): Buffer {
  const bytes = page(564);
  const running = state.selfTestRunning;
  bytes[0] = running?.number ?? 0;
  bytes[1] = running ? 100 - time.selfTestLeftPercent() : 0;
  const newestFirst = [...state.selfTests].reverse();
  for (let index = 0; index < 20; index += 1) {
    const at = 4 + 28 * index;
    const entry = newestFirst[index];
    bytes[at] = 0x0f;
    if (!entry) continue;
    bytes[at] = (entry.number << 4) | (selfTestResult[entry.result] ?? 6);
    bytes[at + 2] = entry.failingLba === null ? 0 : 0x02;
    putLittle(bytes, { at: at + 4, length: 8 }, entry.hours);
    putLittle(bytes, { at: at + 16, length: 8 }, entry.failingLba ?? 0);
  }
  return bytes;
}
