import {
  type Answer,
  type AtaCommand,
  type AtaReply,
  answered,
  missing,
  type NvmeAdminCommand,
  type NvmeReply,
  type ScsiCommand,
  type ScsiReply,
} from './box.js';
import { deviceAbsence } from './errno-class.js';
import { addressOf, fixedBuffer, ioctlLater } from './ffi.js';
import { fillNvmeHeader, nvmeHeaderBytes, readNvmeResult } from './layouts/nvme-header.js';
import { nvmeAbsence } from './layouts/nvme-status.js';
import { satAnswer, satCommand } from './layouts/sat.js';
import { scsiAnswer } from './layouts/scsi-outcome.js';
import { isUnitAttention } from './layouts/sense.js';
import {
  type Direction,
  fillSgHeader,
  readSgOutcome,
  type ScsiOutcome,
  sgHeaderBytes,
} from './layouts/sg-header.js';

/** Commands through an open descriptor. Whoever calls keeps the descriptor open meanwhile. */

const requestNumber = {
  sgIo: 0x2285,
  nvmeAdmin: 0xc0484e41,
  blockBytes: 0x80081272,
  logicalBlockBytes: 0x1268,
} as const;

const senseBytesMax = 64;

interface RawScsi {
  readonly name: string;
  readonly cdb: Uint8Array;
  readonly transfer: Direction;
  readonly transferBytes: number;
  readonly dataOut?: Uint8Array;
  readonly deadlineMs: number;
}

export async function callAta(fd: number, command: AtaCommand): Promise<Answer<AtaReply>> {
  const outcome = await callSgTwice(fd, { ...command, cdb: satCommand(command) });
  return outcome.ok ? satAnswer(command, outcome.value) : outcome;
}

export async function callScsi(fd: number, command: ScsiCommand): Promise<Answer<ScsiReply>> {
  const outcome = await callSgTwice(fd, command);
  return outcome.ok ? scsiAnswer(command.name, outcome.value) : outcome;
}

/** The first command after a reset is answered only with word of the reset: repeated once. */
async function callSgTwice(fd: number, command: RawScsi): Promise<Answer<ScsiOutcome>> {
  const first = await callSg(fd, command);
  return first.ok && isUnitAttention(first.value.sense) ? callSg(fd, command) : first;
}

async function callSg(fd: number, command: RawScsi): Promise<Answer<ScsiOutcome>> {
  const header = fixedBuffer(sgHeaderBytes);
  const data = fixedBuffer(command.transferBytes);
  const cdb = fixedBuffer(command.cdb.length);
  const sense = fixedBuffer(senseBytesMax);
  cdb.set(command.cdb);
  if (command.dataOut) data.set(command.dataOut);
  fillSgHeader(
    header,
    {
      direction: command.transfer,
      commandBytes: cdb.length,
      dataBytes: data.length,
      senseBytes: sense.length,
      timeoutMs: command.deadlineMs,
    },
    {
      data: data.length === 0 ? 0n : addressOf(data),
      command: addressOf(cdb),
      sense: addressOf(sense),
    },
  );
  const call = await ioctlLater(fd, {
    request: requestNumber.sgIo,
    argument: header,
    pointsTo: [data, cdb, sense],
  });
  if (call.returned < 0) {
    return { ok: false, absence: deviceAbsence(command.name, call.errno) };
  }
  return answered(readSgOutcome(header, { data, sense }));
}

export async function callNvme(fd: number, command: NvmeAdminCommand): Promise<Answer<NvmeReply>> {
  const header = fixedBuffer(nvmeHeaderBytes);
  const data = fixedBuffer(command.transferBytes);
  fillNvmeHeader(header, command, data.length === 0 ? 0n : addressOf(data));
  const call = await ioctlLater(fd, {
    request: requestNumber.nvmeAdmin,
    argument: header,
    pointsTo: [data],
  });
  if (call.returned < 0) {
    return { ok: false, absence: deviceAbsence(command.name, call.errno) };
  }
  if (call.returned > 0) return { ok: false, absence: nvmeAbsence(command.name, call.returned) };
  return answered({ data, result: readNvmeResult(header) });
}

export interface BlockGeometry {
  readonly sizeBytes: number;
  readonly logicalBlockBytes: number;
}

/** Size and logical block size, asked through the descriptor and not by name. */
export async function blockGeometry(fd: number): Promise<Answer<BlockGeometry>> {
  const size = fixedBuffer(8);
  const block = fixedBuffer(4);
  const sizeCall = await ioctlLater(fd, {
    request: requestNumber.blockBytes,
    argument: size,
    pointsTo: [],
  });
  const blockCall = await ioctlLater(fd, {
    request: requestNumber.logicalBlockBytes,
    argument: block,
    pointsTo: [],
  });
  const failed = [sizeCall, blockCall].find((call) => call.returned < 0);
  if (failed) {
    return { ok: false, absence: deviceAbsence('Asking for the size', failed.errno) };
  }
  const sizeBytes = Number(new DataView(size.buffer).getBigUint64(0, true));
  const logicalBlockBytes = new DataView(block.buffer).getUint32(0, true);
  if (sizeBytes === 0 || logicalBlockBytes === 0) {
    return missing('not-there', 'The device has no size: it holds no medium');
  }
  return answered({ sizeBytes, logicalBlockBytes });
}
