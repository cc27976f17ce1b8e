const threadsForFiles = 4;
const threadsPerDrive = 2;
const threadsMax = 256;

/**
 * Size of libuv's pool for a box with this many drives. Asynchronous device calls and file reads
 * share the pool. A silent drive holds at most two threads, however long it is silent: one for a
 * command or for opening it, one for a sensor file behind which the kernel asks the same drive.
 * With two for each and a few for other files, a box full of silent drives still reads its
 * healthy one.
 */
export function threadPoolSizeFor(driveCount: number): number {
  return Math.min(threadsForFiles + threadsPerDrive * Math.max(0, driveCount), threadsMax);
}
