import koffi, { type KoffiFunc } from 'koffi';

/**
 * The one door to the C library: what Node has no call for. Symbols are looked up in the running
 * process, so that glibc and musl serve alike. Asynchronous calls run on Node's thread pool and
 * hold a thread until the kernel answers; nothing can call them back.
 */
const libc = koffi.load(null);

type IoctlCall = KoffiFunc<(fd: number, request: number, argument: Uint8Array) => number>;

const ioctlCall = libc.func('ioctl', 'int', ['int', 'ulong', 'void *']) as IoctlCall;

export interface Ioctl {
  readonly request: number;
  /** Read and filled in place by the kernel. */
  readonly argument: Uint8Array;
  /** Buffers whose addresses stand in the argument; kept alive until the kernel has answered. */
  readonly pointsTo: readonly Uint8Array[];
}

/** What the call gave back: its value, errno when that was below zero (else 0), and the buffers. */
export interface IoctlResult {
  readonly returned: number;
  readonly errno: number;
  readonly buffers: readonly Uint8Array[];
}

/**
 * ioctl(2) away from the main thread. It may never return; then its buffers are never freed
 * either, since the kernel may still write into them.
 */
export function ioctlLater(fd: number, call: Ioctl): Promise<IoctlResult> {
  return new Promise((resolve, reject) => {
    ioctlCall.async(fd, call.request, call.argument, (error: unknown, returned: number) => {
      const errno = returned < 0 ? koffi.errno() : 0;
      if (error) reject(error);
      else resolve({ returned, errno, buffers: [call.argument, ...call.pointsTo] });
    });
  });
}

/** Where a buffer lies in memory. Only for memory from `fixedBuffer`, which never moves. */
export function addressOf(buffer: Uint8Array): bigint {
  return koffi.address(buffer);
}

/**
 * Zeroed memory that the garbage collector never moves: small typed arrays may live on the
 * collector's own heap, the memory of an ArrayBuffer made first does not.
 */
export function fixedBuffer(bytes: number): Uint8Array {
  return new Uint8Array(new ArrayBuffer(bytes));
}

type PollCall = KoffiFunc<(entries: Uint8Array, count: number, timeoutMs: number) => number>;

const pollCall = libc.func('poll', 'int', ['void *', 'ulong', 'int']) as PollCall;

/** POLLIN (Linux include/uapi/asm-generic/poll.h); `struct pollfd` has 8 bytes. */
const canBeRead = 1;

/** Whether something can be read from a descriptor within this time; waits off the main thread. */
export function readableWithin(fd: number, timeoutMs: number): Promise<boolean> {
  const entry = fixedBuffer(8);
  const view = new DataView(entry.buffer);
  view.setInt32(0, fd, true);
  view.setInt16(4, canBeRead, true);
  return new Promise((resolve, reject) => {
    pollCall.async(entry, 1, timeoutMs, (error: unknown, ready: number) => {
      if (error) reject(error);
      else resolve(ready > 0);
    });
  });
}

type GetsockoptCall = KoffiFunc<
  (fd: number, level: number, option: number, value: Uint8Array, length: Uint8Array) => number
>;

const getsockoptCall = libc.func('getsockopt', 'int', [
  'int',
  'int',
  'int',
  'void *',
  'void *',
]) as GetsockoptCall;

/**
 * SOL_SOCKET and SO_PEERCRED (Linux include/uapi/asm-generic/socket.h); `struct ucred`, 12 bytes.
 */
const socketLevel = 1;
const peerCredentials = 17;
const credentialsBytes = 12;

/** User at the other end of a local socket, as the kernel saw it connect; null when not told. */
export function peerUserId(fd: number): number | null {
  const value = fixedBuffer(credentialsBytes);
  const length = fixedBuffer(4);
  new DataView(length.buffer).setUint32(0, credentialsBytes, true);
  if (getsockoptCall(fd, socketLevel, peerCredentials, value, length) !== 0) return null;
  return new DataView(value.buffer).getUint32(4, true);
}

type SocketCall = KoffiFunc<(family: number, kind: number, protocol: number) => number>;

const socketCall = libc.func('socket', 'int', ['int', 'int', 'int']) as SocketCall;

/** AF_INET, and SOCK_DGRAM with SOCK_CLOEXEC (Linux include/linux/net.h). */
const internetFamily = 2;
const datagramClosedOnExec = 0x80002;

/**
 * A socket that is bound to nothing and sends nothing: the kernel answers questions about network
 * interfaces only through one.
 */
export function openQuestionSocket(): { readonly fd: number; readonly errno: number } {
  const fd = socketCall(internetFamily, datagramClosedOnExec, 0);
  return { fd, errno: fd < 0 ? koffi.errno() : 0 };
}

const exitCall = libc.func('_exit', 'void', ['int']) as KoffiFunc<(code: number) => void>;

/** Ends the process at once, without waiting for threads that the kernel still holds. */
export function exitWithoutWaiting(code: number): never {
  exitCall(code);
  throw new Error('The process did not end');
}
