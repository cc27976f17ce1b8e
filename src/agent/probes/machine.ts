import type { MachineSeen } from '../../checks/part.js';
import type { Box, MachineFacts } from '../box/box.js';
import { textOrNull } from './read-kernel.js';

/** The box itself: firmware tables through the seam, the rest from /proc. */
export async function seeMachine(
  box: Box,
  { board, processor }: MachineFacts,
): Promise<MachineSeen> {
  return {
    hostName: (await textOrNull(box, '/proc/sys/kernel/hostname')) ?? 'unknown',
    board,
    processor,
    memoryBytes: memoryBytesOf(await textOrNull(box, '/proc/meminfo')),
    kernel: kernelOf(await textOrNull(box, '/proc/version')),
  };
}

/** MemTotal of /proc/meminfo: what the kernel can use, somewhat less than the modules hold. */
export function memoryBytesOf(text: string | null): number | null {
  const match = /^MemTotal:\s+(\d{1,12}) kB$/m.exec(text ?? '');
  return match === null ? null : Number(match[1]) * 1024;
}

/** "Linux version 6.1.0-56-amd64 (builder…) …" becomes "Linux 6.1.0-56-amd64". */
export function kernelOf(text: string | null): string {
  const match = /^(\S+) version (\S+)/.exec(text ?? '');
  return match === null ? 'unknown' : `${match[1]} ${match[2]}`;
}
