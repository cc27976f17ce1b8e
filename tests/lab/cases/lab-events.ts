import type { Machine } from '../machine/machine.js';

/** An event as `status --json` prints it; only what the cases look at. */
interface PrintedEvent {
  readonly kind: string;
  readonly part: string | null;
  readonly positionBytes: number | null;
  readonly record: string;
  readonly sentence: string;
}

interface PrintedPart {
  readonly id: string;
  readonly sentences: readonly string[];
}

/** What `status --json` tells; only what the cases look at. */
export interface PrintedStatus {
  readonly happened: readonly PrintedEvent[];
  readonly groups: readonly { readonly kind: string; readonly parts: readonly PrintedPart[] }[];
}

export async function statusOf(machine: Machine): Promise<PrintedStatus> {
  const { printed } = await machine.run(['/bin/bayward', 'status', '--json']);
  return JSON.parse(printed) as PrintedStatus;
}

/** Events with a place, as text that sorts: part, kind and bytes from the drive's start. */
export function placesTold({ happened }: PrintedStatus): string[] {
  return happened
    .filter(({ positionBytes }) => positionBytes !== null)
    .map(({ part, kind, positionBytes }) => `${part} ${kind} ${positionBytes}`)
    .sort();
}

const readScript = `
import { constants, openSync, readSync } from 'node:fs';
import { makeAlignedBuffer } from '/opt/bayward/dist/src/agent/box/aligned-buffer.js';
const fd = openSync(PATH, constants.O_RDONLY | constants.O_DIRECT);
try {
  console.log(readSync(fd, makeAlignedBuffer(4096), 0, 4096, OFFSET));
} catch (error) {
  console.log(error.code);
}
`;

/** Reads 4096 bytes past the kernel's cache; gives how many, or the name of the error. */
export async function readAt(machine: Machine, path: string, offset: number): Promise<string> {
  const script = readScript.replace('PATH', JSON.stringify(path)).replace('OFFSET', String(offset));
  const argv = ['/usr/bin/node', '--input-type=module'];
  return (await machine.must(argv, { input: script, deadlineMs: 120_000 })).trim();
}

/** The page at an address inside the machine, as its own web process gives it. */
export async function fetchPage(machine: Machine, address: string): Promise<string> {
  const script = `console.log(await (await fetch(${JSON.stringify(address)})).text());`;
  return machine.must(['/usr/bin/node', '--input-type=module'], { input: script });
}
