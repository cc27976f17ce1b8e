import { readFileSync } from 'node:fs';

/** Processor time of this process that the work takes, in milliseconds. */
export async function processorMs(work: () => Promise<void>): Promise<number> {
  const before = process.cpuUsage();
  await work();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000;
}

/** Bytes that this process handed to the kernel for writing: wchar in Linux proc.rst. */
export function writtenBytes(): number {
  return Number(/^wchar: (\d+)$/m.exec(readFileSync('/proc/self/io', 'utf8'))?.[1]);
}
