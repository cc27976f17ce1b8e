/**
 * Arguments of the kernel's questions about the module in a network card's plug: struct ifreq, 40
 * bytes on 64-bit machines, points at the question (Linux include/uapi/linux/if.h), whose forms are
 * struct ethtool_modinfo and struct ethtool_eeprom (include/uapi/linux/ethtool.h).
 */
export const interfaceRequestBytes = 40;
export const moduleInfoBytes = 44;
export const memoryHeadBytes = 16;

/** The question by its number; those that set or write anything have none here. */
const question = { moduleInfo: 0x42, moduleMemory: 0x43 } as const;

const nameBytesMax = 15;

/** Names of interfaces are at most 15 bytes, so that the last of 16 stays 0. */
export function isInterfaceName(name: string): boolean {
  return /^[\x21-\x7e]+$/.test(name) && name.length <= nameBytesMax && !name.includes('/');
}

/** Fills a zeroed request about one interface whose question lies at `questionAt`. */
export function fillInterfaceRequest(request: Uint8Array, name: string, questionAt: bigint): void {
  request.set(new TextEncoder().encode(name));
  viewOf(request).setBigUint64(16, questionAt, true);
}

export function fillModuleInfo(info: Uint8Array): void {
  viewOf(info).setUint32(0, question.moduleInfo, true);
}

export interface ModuleInfo {
  /** 1 and 2 are SFP, 3 and 4 QSFP; other numbers are other layouts. */
  readonly layout: number;
  readonly memoryBytes: number;
}

export function readModuleInfo(info: Uint8Array): ModuleInfo {
  return { layout: viewOf(info).getUint32(4, true), memoryBytes: viewOf(info).getUint32(8, true) };
}

/** Fills the head of a question for all memory up to `bytes`; what is read follows the head. */
export function fillModuleMemory(memory: Uint8Array, bytes: number): void {
  const view = viewOf(memory);
  view.setUint32(0, question.moduleMemory, true);
  view.setUint32(12, bytes, true);
}

function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}
