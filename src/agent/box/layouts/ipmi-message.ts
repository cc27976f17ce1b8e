import type { Absence, AbsenceKind, ManagementCommand } from '../box.js';
import { hex } from './bytes.js';

/**
 * What the kernel's device for management controllers takes and gives: `struct ipmi_req` of 40
 * bytes and `struct ipmi_recv` of 48 where pointers have 8 (Linux 6.1 include/uapi/linux/ipmi.h;
 * offsets measured with a compiler on x86-64).
 */
export const requestBytes = 40;
export const replyBytes = 48;
export const addressBytes = 40;
/** IPMI_MAX_MSG_LENGTH of the same headers. */
export const messageBytesMax = 272;

const systemInterface = 0x0c;
const controllerChannel = 0x0f;
/** type, channel, unit within the controller: `struct ipmi_system_interface_addr`. */
const systemAddressBytes = 8;

/** Fills the address of the box's own controller. */
export function fillControllerAddress(address: Uint8Array): void {
  const view = viewOf(address);
  view.setInt32(0, systemInterface, true);
  view.setInt16(4, controllerChannel, true);
  view.setUint8(6, 0);
}

/** Addresses in this process of what a request or a reply points to. */
export interface MessagePointers {
  readonly address: bigint;
  readonly data: bigint;
}

/** `number` comes back with the answer, so that an older answer is not taken for it. */
export function fillRequest(
  request: Uint8Array,
  { netFunction, command, data }: Pick<ManagementCommand, 'netFunction' | 'command' | 'data'>,
  { number, at }: { readonly number: number; readonly at: MessagePointers },
): void {
  const view = viewOf(request);
  view.setBigUint64(0, at.address, true);
  view.setUint32(8, systemAddressBytes, true);
  view.setBigInt64(16, BigInt(number), true);
  view.setUint8(24, netFunction);
  view.setUint8(25, command);
  view.setUint16(26, data.length, true);
  view.setBigUint64(32, at.data, true);
}

/** Tells the kernel where an answer may be put. */
export function fillReply(reply: Uint8Array, at: MessagePointers): void {
  const view = viewOf(reply);
  view.setBigUint64(8, at.address, true);
  view.setUint32(16, addressBytes, true);
  view.setUint16(34, messageBytesMax, true);
  view.setBigUint64(40, at.data, true);
}

export interface ReplyHead {
  /** 1 is an answer to a command; others come unasked. */
  readonly kind: number;
  readonly number: number;
  readonly dataBytes: number;
}

export function readReply(reply: Uint8Array): ReplyHead {
  const view = viewOf(reply);
  return {
    kind: view.getInt32(0, true),
    number: Number(view.getBigInt64(24, true)),
    dataBytes: view.getUint16(34, true),
  };
}

/** First byte of an answer: IPMI 2.0, completion codes, from memory; some in ipmi_msgdefs.h. */
const kindOfCode: Readonly<Record<number, AbsenceKind>> = {
  128: 'busy',
  129: 'busy',
  192: 'busy',
  193: 'not-supported',
  194: 'not-supported',
  195: 'timed-out',
  196: 'busy',
  197: 'busy',
  203: 'not-there',
  205: 'not-supported',
  206: 'aborted',
  207: 'busy',
  208: 'busy',
  209: 'busy',
  210: 'busy',
  212: 'not-permitted',
  255: 'aborted',
};

const saysOfKind: Readonly<Partial<Record<AbsenceKind, string>>> = {
  busy: 'is busy and did not tell',
  'not-supported': 'does not tell',
  'timed-out': 'was too slow to tell',
  'not-there': 'does not have',
  'not-permitted': 'does not permit to read',
  aborted: 'failed to tell',
};

/** What a completion code other than 00h means. */
export function completionAbsence(name: string, code: number): Absence {
  const kind = kindOfCode[code] ?? 'refused';
  const says = saysOfKind[kind] ?? 'refused to tell';
  return { kind, text: `The management controller ${says} ${name} (completion code ${hex(code)})` };
}

function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}
