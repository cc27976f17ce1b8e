import { basename } from 'node:path';
import type { Box } from '../box/box.js';

/** Bytes that the kernel has moved on a drive since it appeared, for whoever asked. */
export interface KernelCounters {
  readonly readBytes: number;
  readonly writtenBytes: number;
}

/**
 * Fields 3 and 7 of /sys/block/NAME/stat, in units of 512 bytes whatever the drive's own sectors
 * are (Linux Documentation/block/stat.rst, from memory). Null when the text is not of that form.
 */
export function parseBlockStat(text: string): KernelCounters | null {
  const fields = text.trim().split(/\s+/).map(Number);
  const [read, written] = [fields[2], fields[6]];
  if (read === undefined || written === undefined) return null;
  if (!Number.isSafeInteger(read) || !Number.isSafeInteger(written)) return null;
  return { readBytes: read * 512, writtenBytes: written * 512 };
}

export async function readCounters(box: Box, devicePath: string): Promise<KernelCounters | null> {
  const answer = await box.kernelText(`/sys/block/${basename(devicePath)}/stat`);
  return answer.ok ? parseBlockStat(answer.value) : null;
}
