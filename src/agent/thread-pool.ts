const threadsForFiles = 4;
const threadsMax = 256;

/**
 * Size of libuv's pool for a box with this many drives. Asynchronous device calls and file reads
 * share the pool. A drive holds at most one thread, however long it is silent, so with one for
 * each drive and a few for files a box full of silent drives still reads its healthy one.
 */
export function threadPoolSizeFor(driveCount: number): number {
  return Math.min(threadsForFiles + Math.max(0, driveCount), threadsMax);
}
