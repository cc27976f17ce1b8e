import { burstBytes } from './login.js';
import { makeHeader, operations, type Pdu, packPdu, taskTag } from './pdu.js';
import type { ScsiEnd } from './scsi-end.js';

/** One SCSI command under way: its bytes as they arrive, until it can be run. */
export interface Task {
  readonly tag: number;
  readonly cdb: Buffer;
  readonly writes: boolean;
  readonly expectedBytes: number;
  readonly dataOut: Buffer;
  received: number;
  wantedUpTo: number;
  asked: number;
  /** Given to the drive; false while it is held because the drive is silent. */
  started: boolean;
}

export function makeTask(pdu: Pdu): Task {
  const expectedBytes = pdu.header.readUInt32BE(20);
  const writes = ((pdu.header[1] ?? 0) & 0x20) !== 0;
  const dataOut = Buffer.alloc(writes ? expectedBytes : 0);
  pdu.data.copy(dataOut);
  return {
    tag: taskTag(pdu),
    cdb: Buffer.from(pdu.header.subarray(32, 48)),
    writes,
    expectedBytes,
    dataOut,
    received: writes ? Math.min(pdu.data.length, expectedBytes) : 0,
    wantedUpTo: 0,
    asked: 0,
    started: false,
  };
}

export function takeDataOut(task: Task, pdu: Pdu): void {
  pdu.data.copy(task.dataOut, pdu.header.readUInt32BE(40));
  task.received += pdu.data.length;
}

export function isComplete(task: Task): boolean {
  return !task.writes || task.received >= task.expectedBytes;
}

/** Puts StatSN, ExpCmdSN and MaxCmdSN into a header. */
export type PutNumbers = (header: Buffer, advance: boolean) => void;

/** Asks for the next burst of a write (Ready To Transfer, RFC 7143, section 11.8). */
export function packReadyToTransfer(task: Task, numbers: PutNumbers): Buffer {
  const bytes = Math.min(burstBytes, task.expectedBytes - task.received);
  const header = makeHeader(operations.readyToTransfer, task.tag);
  header.writeUInt32BE(1, 20);
  numbers(header, false);
  header.writeUInt32BE(task.asked, 36);
  header.writeUInt32BE(task.received, 40);
  header.writeUInt32BE(bytes, 44);
  task.asked += 1;
  task.wantedUpTo = task.received + bytes;
  return packPdu(header);
}

const dataInBytes = 65_536;
const noTransferTag = 0xffff_ffff;

/** Data-In units and the SCSI Response that ends a task (RFC 7143, sections 11.7 and 11.4). */
export function packEnd(
  task: Task,
  end: Extract<ScsiEnd, { kind: 'answer' }>,
  numbers: PutNumbers,
): Buffer[] {
  const data = end.data === null ? Buffer.alloc(0) : end.data.subarray(0, task.expectedBytes);
  const parts: Buffer[] = [];
  for (let from = 0; from < data.length; from += dataInBytes) {
    parts.push(packDataIn(task, { data, from }, numbers));
  }
  const moved = task.writes ? task.received : data.length;
  const header = makeHeader(operations.scsiResponse, task.tag);
  header[3] = end.status;
  numbers(header, true);
  header.writeUInt32BE(parts.length, 36);
  putResidual(header, task.expectedBytes, Math.max(moved, end.data?.length ?? 0));
  parts.push(packPdu(header, end.sense === null ? Buffer.alloc(0) : withLength(end.sense)));
  return parts;
}

function packDataIn(task: Task, what: { data: Buffer; from: number }, numbers: PutNumbers): Buffer {
  const piece = what.data.subarray(what.from, what.from + dataInBytes);
  const header = makeHeader(operations.dataIn, task.tag);
  header[1] = what.from + piece.length === what.data.length ? 0x80 : 0;
  header.writeUInt32BE(noTransferTag, 20);
  numbers(header, false);
  header.writeUInt32BE(what.from / dataInBytes, 36);
  header.writeUInt32BE(what.from, 40);
  return packPdu(header, Buffer.from(piece));
}

/** Fewer bytes than expected is an underflow, more an overflow. */
function putResidual(header: Buffer, expectedBytes: number, bytes: number): void {
  if (bytes === expectedBytes) return;
  header[1] = 0x80 | (bytes < expectedBytes ? 0x02 : 0x04);
  header.writeUInt32BE(Math.abs(expectedBytes - bytes), 44);
}

function withLength(sense: Buffer): Buffer {
  const head = Buffer.alloc(2);
  head.writeUInt16BE(sense.length);
  return Buffer.concat([head, sense]);
}
