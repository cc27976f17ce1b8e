import { constants } from 'node:os';
import type { Absence, AbsenceKind } from './box.js';

/**
 * What an error number of a device means. They are classes, not one: a place that cannot be read
 * (ENODATA, which the kernel gives for a medium error), an aborted transfer (EIO), data that
 * fails its protection (EILSEQ), a drive that is slow (ETIMEDOUT) and one that is gone.
 * Linux 6.1 block/blk-core.c maps the block layer's states to these numbers.
 */
const kindOfDeviceErrno: Readonly<Record<string, AbsenceKind>> = {
  ENODATA: 'unreadable',
  EIO: 'aborted',
  EILSEQ: 'damaged',
  ETIMEDOUT: 'timed-out',
  ENXIO: 'gone',
  ENODEV: 'gone',
  ENOENT: 'gone',
  EACCES: 'not-permitted',
  EPERM: 'not-permitted',
  EROFS: 'not-permitted',
  EBUSY: 'busy',
  EAGAIN: 'busy',
  EBADE: 'busy',
  ENOMEDIUM: 'not-there',
  ENOTTY: 'not-supported',
  EINVAL: 'not-supported',
  EOPNOTSUPP: 'not-supported',
  ENOTSUP: 'not-supported',
  ENOSYS: 'not-supported',
  ENOSPC: 'refused',
};

/** Node names only part of the kernel's error numbers; these are the rest that devices give. */
const namesBeyondNode: Readonly<Record<number, string>> = {
  52: 'EBADE',
  67: 'ENOLINK',
  121: 'EREMOTEIO',
  123: 'ENOMEDIUM',
};

const nameOfErrno: ReadonlyMap<number, string> = new Map([
  ...Object.entries(constants.errno).map(([name, number]) => [number, name] as const),
  ...Object.entries(namesBeyondNode).map(([number, name]) => [Number(number), name] as const),
]);

/** "EIO" for 5; "error 999" for a number without a name. */
export function errnoName(errno: number): string {
  return nameOfErrno.get(errno) ?? `error ${errno}`;
}

const saysOfKind: Readonly<Record<AbsenceKind, string>> = {
  'not-there': 'there is nothing there',
  'not-permitted': 'it is not permitted',
  'not-supported': 'it is not supported there',
  refused: 'it was refused',
  unreadable: 'the place cannot be read',
  damaged: 'the data fails its protection',
  aborted: 'the transfer broke off',
  'timed-out': 'no answer came in time',
  busy: 'something else holds it',
  gone: 'the device is gone',
};

const hintOfName: Readonly<Record<string, string>> = {
  EACCES: '; run as root or with the service unit to be allowed',
  EPERM: '; run as root or with the service unit to be allowed',
  EROFS: ': the device is write-protected',
};

/** The class of a failed call on a device. `what` is the thing tried, as in "Reading 512 bytes". */
export function deviceAbsence(what: string, error: unknown): Absence {
  const name = errorName(error);
  const kind = kindOfDeviceErrno[name] ?? 'aborted';
  return { kind, text: `${what} failed: ${saysOfKind[kind]} (${name})${hintOfName[name] ?? ''}` };
}

const kindOfFileErrno: Readonly<Record<string, AbsenceKind>> = {
  ENOENT: 'not-there',
  ENOTDIR: 'not-there',
  ENODATA: 'not-supported',
  ENXIO: 'gone',
  ENODEV: 'gone',
};

/** The class of a failed read of a kernel file: ENOENT and ENODATA mean less than on a drive. */
export function kernelFileAbsence(path: string, error: unknown): Absence {
  const name = errorName(error);
  const kind = kindOfFileErrno[name] ?? kindOfDeviceErrno[name] ?? 'aborted';
  return { kind, text: `Reading ${path} failed: ${saysOfKind[kind]} (${name})` };
}

/** Reads the error's name from a Node error, an error number, or whatever was thrown. */
function errorName(error: unknown): string {
  if (typeof error === 'number') return errnoName(error);
  if (error instanceof Error && 'code' in error && typeof error.code === 'string') {
    const number = 'errno' in error && typeof error.errno === 'number' ? -error.errno : 0;
    return error.code.startsWith('Unknown') ? errnoName(number) : error.code;
  }
  return error instanceof Error ? error.message : String(error);
}
