import {
  type Absence,
  type Answer,
  answered,
  type ScsiCommand,
  type ScsiReply,
} from '../../src/agent/box/box.js';
import { cut, page, putBig, putText } from './sim-bytes.js';
import { identifyDevicePage } from './sim-drive-ata.js';
import { modePage } from './sim-drive-scsi-modes.js';
import { blockCounts, parameter, phyPage } from './sim-drive-scsi-pages.js';
import { pendingCount } from './sim-drive-state.js';
import { type SimParts, sectorsOf } from './sim-drive-time.js';

/** Answered by the electronics alone: none of these starts a sleeping spindle. */
const answeredAsleep = new Set([0x00, 0x03, 0x12, 0x9e]);

export function scsiCommand(parts: SimParts, command: ScsiCommand): Promise<Answer<ScsiReply>> {
  const opcode = command.cdb[0] ?? 0;
  const { name, deadlineMs } = command;
  const wakes = !answeredAsleep.has(opcode) && isSas(parts);
  return parts.time.attend({ name, deadlineMs, durationMs: 0, wakes }, () => {
    if (opcode === 0x00 && parts.state.standby && isSas(parts)) {
      return { ok: false, absence: failed(name, 'busy', [2, 0x04, 0x02]) };
    }
    const record = perform(parts, command.cdb);
    if (typeof record === 'number') {
      const kind = record === 0x20 ? 'not-supported' : 'refused';
      return { ok: false, absence: failed(name, kind, [5, record, 0]) };
    }
    return answered({ data: cut(record, command.transferBytes), sense: new Uint8Array(0) });
  });
}

function isSas(parts: SimParts): boolean {
  return parts.nature.kind === 'sas-disk';
}

type Sense = readonly [key: number, code: number, qualifier: number];

function failed(name: string, kind: Absence['kind'], sense: Sense): Absence {
  return { kind, text: `The drive failed ${name} (sense ${sense.join('/')})`, sense: fixed(sense) };
}

function fixed([key, code, qualifier]: Sense): Buffer {
  const bytes = page(18);
  bytes[0] = 0x70;
  bytes[2] = key;
  bytes[7] = 10;
  bytes[12] = code;
  bytes[13] = qualifier;
  return bytes;
}

const unknownCommand = 0x20;
const unknownField = 0x24;

/** The record, or the additional sense code of the refusal. */
function perform(parts: SimParts, cdb: Uint8Array): Buffer | number {
  switch (cdb[0]) {
    case 0x00:
      return page(0);
    case 0x03:
      return fixed(parts.state.standby && isSas(parts) ? [0, 0x5e, 0x02] : [0, 0, 0]);
    case 0x12:
      return ((cdb[1] ?? 0) & 1) === 1 ? vitalPage(parts, cdb[2] ?? 0) : inquiryPage(parts);
    case 0x9e:
      return capacityPage(parts);
    case 0x1d:
      return isSas(parts) ? startSelfTest(parts, (cdb[1] ?? 0) >> 5) : unknownCommand;
    case 0x4d:
      return isSas(parts) ? logPage(parts, cdb) : unknownCommand;
    case 0x5a:
      return isSas(parts) ? modePage(parts, cdb[2] ?? 0) : unknownCommand;
    case 0xb7:
      return isSas(parts) ? defectHeader(parts) : unknownCommand;
    default:
      return unknownCommand;
  }
}

/** A SATA drive is shown by the kernel with the vendor "ATA" and its model cut to 16 characters. */
function inquiryPage(parts: SimParts): Buffer {
  const bytes = page(96);
  bytes[2] = isSas(parts) ? 6 : 5;
  bytes[3] = 2;
  bytes[4] = 91;
  putText(bytes, { at: 8, length: 8 }, isSas(parts) ? 'INVENTED' : 'ATA');
  putText(bytes, { at: 16, length: 16 }, parts.state.model);
  putText(bytes, { at: 32, length: 4 }, parts.state.firmware.slice(-4));
  return bytes;
}

function vitalPage(parts: SimParts, number: number): Buffer | number {
  switch (number) {
    case 0x00:
      return vital(0x00, Buffer.from([0x00, 0x80, 0x83, ...(isSas(parts) ? [] : [0x89]), 0xb1]));
    case 0x80:
      return vital(0x80, Buffer.from(parts.state.serial.padEnd(20), 'latin1'));
    case 0x83:
      return vital(
        0x83,
        Buffer.concat([
          Buffer.from([0x01, 0x03, 0x00, 0x08]),
          Buffer.from(parts.state.worldWideName, 'hex'),
        ]),
      );
    case 0x89:
      return isSas(parts) ? unknownField : informationOfAta(parts);
    case 0xb1:
      return vital(0xb1, rotationOf(parts));
    default:
      return unknownField;
  }
}

function vital(number: number, body: Buffer): Buffer {
  const head = page(4);
  head[1] = number;
  head.writeUInt16BE(body.length, 2);
  return Buffer.concat([head, body]);
}

function informationOfAta(parts: SimParts): Buffer {
  const body = page(568);
  body[32] = 0x34;
  body[52] = 0xec;
  identifyDevicePage(parts).copy(body, 56);
  return vital(0x89, body);
}

function rotationOf({ nature }: SimParts): Buffer {
  const body = page(60);
  body.writeUInt16BE(nature.rotationRpm, 0);
  body[3] = 2;
  return body;
}

function capacityPage({ nature }: SimParts): Buffer {
  const bytes = page(32);
  putBig(bytes, { at: 0, length: 8 }, sectorsOf(nature) - 1);
  bytes.writeUInt32BE(nature.logicalBlockBytes, 8);
  bytes[13] = Math.log2(nature.physicalBlockBytes / nature.logicalBlockBytes);
  return bytes;
}

function startSelfTest({ time }: SimParts, code: number): Buffer | number {
  if (code === 1 || code === 2) time.startSelfTest(code);
  else if (code === 4) time.endSelfTest(1, null);
  else return unknownField;
  return page(0);
}

/** Bit 3 says that a grown list follows; its length in bytes, 4 for each short address. */
function defectHeader({ state }: SimParts): Buffer {
  const bytes = page(8);
  bytes[1] = 0x08;
  bytes.writeUInt32BE(4 * state.grownDefects, 4);
  return bytes;
}

const logPages: ReadonlyMap<number, (parts: SimParts) => Buffer> = new Map([
  [0x02, ({ state }) => errorCounters(state.bytesWritten, 0)],
  [0x03, ({ state }) => errorCounters(state.bytesRead, state.uncorrectableErrorsReported)],
  [0x05, () => errorCounters(0, 0)],
  [0x06, ({ state }) => parameter(0, number(8, state.interfaceCrcErrors))],
  [0x08, ({ state }) => parameter(4, number(4, Math.floor(state.powerOnHours * 60)))],
  [0x0d, temperaturePage],
  [0x0e, startStopPage],
  [0x10, selfTestPage],
  [0x15, backgroundPage],
  [0x18, phyPage],
  [0x19, blockCounts],
  [0x2f, verdictPage],
]);

function logPage(parts: SimParts, cdb: Uint8Array): Buffer | number {
  const code = (cdb[2] ?? 0) & 0x3f;
  const subpage = cdb[3] ?? 0;
  const body = subpage === 0 ? logBody(parts, code) : logSubpage(parts, code, subpage);
  if (!body) return unknownField;
  const head = page(4);
  head[0] = subpage === 0 ? code : 0x40 | code;
  head[1] = subpage;
  head.writeUInt16BE(body.length, 2);
  return Buffer.concat([head, body]);
}

function logBody(parts: SimParts, code: number): Buffer | undefined {
  return code === 0 ? Buffer.from([0x00, ...logPages.keys()]) : logPages.get(code)?.(parts);
}

/** 00h/FFh lists pages with their subpages; 15h/01h counts the sectors that wait for a rewrite. */
function logSubpage(parts: SimParts, code: number, subpage: number): Buffer | undefined {
  if (code === 0x00 && subpage === 0xff) {
    return Buffer.from([0, 0, ...[...logPages.keys()].flatMap((one) => [one, 0]), 0x15, 0x01]);
  }
  if (code !== 0x15 || subpage !== 0x01) return undefined;
  return parameter(0, number(4, pendingCount(parts.state)));
}

function number(length: number, value: number): Buffer {
  const bytes = page(length);
  putBig(bytes, { at: 0, length }, value);
  return bytes;
}

function errorCounters(bytesProcessed: number, uncorrected: number): Buffer {
  return Buffer.concat([
    ...[0, 1, 2, 3, 4].map((code) => parameter(code, number(4, 0))),
    parameter(5, number(8, bytesProcessed)),
    parameter(6, number(4, uncorrected)),
  ]);
}

function temperaturePage({ state }: SimParts): Buffer {
  return Buffer.concat([
    parameter(0, Buffer.from([0, state.temperatureCelsius])),
    parameter(1, Buffer.from([0, state.temperatureLimitCelsius])),
  ]);
}

function startStopPage({ state }: SimParts): Buffer {
  return Buffer.concat([
    parameter(1, Buffer.from('202104', 'latin1')),
    parameter(2, Buffer.from('      ', 'latin1')),
    parameter(3, number(4, 50_000)),
    parameter(4, number(4, state.startStops)),
    parameter(5, number(4, 600_000)),
    parameter(6, number(4, state.headLoads)),
  ]);
}

/** 20 results of 20 bytes, newest first; a running test stands first with 0 hours. */
function selfTestPage({ state }: SimParts): Buffer {
  const running = state.selfTestRunning
    ? [{ number: state.selfTestRunning.number, result: 0x0f, hours: 0, failingLba: null }]
    : [];
  const entries = [...running, ...[...state.selfTests].reverse()].slice(0, 20);
  const results = Array.from({ length: 20 }, (_, index) => {
    const entry = entries[index];
    const value = page(16);
    if (entry) {
      value[0] = (entry.number << 5) | entry.result;
      value.writeUInt16BE(Math.min(entry.hours, 0xffff), 2);
      if (entry.failingLba === null) value.fill(0xff, 4, 12);
      else putBig(value, { at: 4, length: 8 }, entry.failingLba);
      if (entry.result === 7) value.set([0x03, 0x11, 0x00], 12);
    }
    return parameter(index + 1, value);
  });
  return Buffer.concat(results);
}

function backgroundPage(parts: SimParts): Buffer {
  const value = page(12);
  value.writeUInt32BE(Math.floor(parts.state.powerOnHours * 60), 0);
  const pending = pendingCount(parts.state);
  value[5] = pending > 0 ? 1 : 0;
  return parameter(0, value);
}

/** Code 5Dh: the drive predicts its failure. */
function verdictPage({ state }: SimParts): Buffer {
  const code = state.failing ? [0x5d, 0x10] : [0x00, 0x00];
  return parameter(0, Buffer.from([...code, state.temperatureCelsius, 0]));
}
