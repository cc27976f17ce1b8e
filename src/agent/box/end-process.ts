import { exitWithoutWaiting } from './ffi.js';

/**
 * Ends a process that has asked a drive something. Node waits at its end for every call that is
 * still under way, and a drive that hangs would hold it for ever. What was written to the terminal
 * or a pipe is out first.
 */
export async function endProcess(code: number): Promise<never> {
  await Promise.all([process.stdout, process.stderr].map(drained));
  return exitWithoutWaiting(code);
}

function drained(stream: NodeJS.WriteStream): Promise<void> {
  return new Promise((resolve) => {
    if (stream.destroyed || !stream.writable) resolve();
    else stream.write('', () => resolve());
  });
}
