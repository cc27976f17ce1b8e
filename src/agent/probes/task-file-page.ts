import type { TaskFile } from '../box/box.js';
import { lbaBytes } from '../box/layouts/sat.js';

/**
 * Registers as the 12 bytes of a capture's task-file page: error, status, device, count high,
 * count low, the LBA bytes 0 to 5 (lowest first), then 0.
 */
export function taskFilePage(registers: TaskFile): Uint8Array {
  return Uint8Array.from([
    registers.error,
    registers.status,
    registers.device,
    registers.count >> 8,
    registers.count & 0xff,
    ...lbaBytes(registers.lba),
    0,
  ]);
}
