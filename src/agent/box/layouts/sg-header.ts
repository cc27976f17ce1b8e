/**
 * The header of the SG_IO call: struct sg_io_hdr of 88 bytes where pointers have 8 bytes
 * (Linux 6.1 include/scsi/sg.h; offsets measured with a compiler on x86-64).
 */
export const sgHeaderBytes = 88;

export type Direction = 'none' | 'from-drive' | 'to-drive';

const directionCode: Readonly<Record<Direction, number>> = {
  none: -1,
  'to-drive': -2,
  'from-drive': -3,
};

/** Addresses in this process of what the header points to. */
export interface SgPointers {
  readonly data: bigint;
  readonly command: bigint;
  readonly sense: bigint;
}

export interface SgRequest {
  readonly direction: Direction;
  readonly commandBytes: number;
  readonly dataBytes: number;
  readonly senseBytes: number;
  readonly timeoutMs: number;
}

/** Fills a zeroed header. Numbers are in the machine's order, little-endian on all we run on. */
export function fillSgHeader(header: Uint8Array, request: SgRequest, at: SgPointers): void {
  const view = viewOf(header);
  view.setInt32(0, 'S'.charCodeAt(0), true);
  view.setInt32(4, directionCode[request.direction], true);
  view.setUint8(8, request.commandBytes);
  view.setUint8(9, request.senseBytes);
  view.setUint32(12, request.dataBytes, true);
  view.setBigUint64(16, at.data, true);
  view.setBigUint64(24, at.command, true);
  view.setBigUint64(32, at.sense, true);
  view.setUint32(40, request.timeoutMs, true);
}

/** What came of a SCSI command, before anything is concluded from it. */
export interface ScsiOutcome {
  /** SCSI status byte: 0 good, 2 check condition. */
  readonly status: number;
  /** The kernel's word on the way to the drive: 0 fine, 3 timed out, 1 nobody there. */
  readonly hostStatus: number;
  readonly driverStatus: number;
  readonly sense: Uint8Array;
  readonly data: Uint8Array;
}

/** Reads the header after the call: cuts data by what was not moved and sense by its length. */
export function readSgOutcome(
  header: Uint8Array,
  buffers: { readonly data: Uint8Array; readonly sense: Uint8Array },
): ScsiOutcome {
  const view = viewOf(header);
  const notMoved = Math.max(0, view.getInt32(72, true));
  return {
    status: view.getUint8(64),
    hostStatus: view.getUint16(68, true),
    driverStatus: view.getUint16(70, true),
    sense: buffers.sense.slice(0, Math.min(view.getUint8(67), buffers.sense.length)),
    data: buffers.data.slice(0, Math.max(0, buffers.data.length - notMoved)),
  };
}

function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}
