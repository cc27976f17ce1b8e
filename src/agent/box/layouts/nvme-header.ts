import type { NvmeAdminCommand } from '../box.js';

/**
 * The argument of the NVMe admin call: struct nvme_passthru_cmd of 72 bytes
 * (Linux 6.1 include/uapi/linux/nvme_ioctl.h; offsets measured with a compiler on x86-64).
 */
export const nvmeHeaderBytes = 72;

/** Fills a zeroed header for a command whose data goes to `dataAt` in this process. */
export function fillNvmeHeader(
  header: Uint8Array,
  command: NvmeAdminCommand,
  dataAt: bigint,
): void {
  const view = new DataView(header.buffer, header.byteOffset, header.byteLength);
  view.setUint8(0, command.opcode);
  view.setUint32(4, command.nsid, true);
  view.setBigUint64(24, dataAt, true);
  view.setUint32(36, command.transferBytes, true);
  view.setUint32(40, command.cdw10, true);
  view.setUint32(44, command.cdw11, true);
  view.setUint32(64, command.deadlineMs, true);
}

/** Completion dword 0 after the call. */
export function readNvmeResult(header: Uint8Array): number {
  return new DataView(header.buffer, header.byteOffset, header.byteLength).getUint32(68, true);
}
