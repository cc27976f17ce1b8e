import { type BigIntStats, close, constants, fstat, open } from 'node:fs';
import { promisify } from 'node:util';
import { type Answer, answered, type DriveAddress, missing } from './box.js';
import { deviceAbsence } from './errno-class.js';

const openLater = promisify(open);
const closeLater = promisify(close);
const fstatLater = promisify(fstat) as (
  fd: number,
  options: { bigint: true },
) => Promise<BigIntStats>;

/**
 * Opens a device for asking. Reading only, so that closing it makes nobody rescan the drive, and
 * without waiting, so that opening neither starts the spindle nor waits for a medium.
 */
export const askingFlags = constants.O_RDONLY | constants.O_NONBLOCK;

/** Opens past the page cache, for the data itself. */
export function blockFlags(options: { write: boolean; exclusive: boolean }): number {
  const access = options.write ? constants.O_RDWR : constants.O_RDONLY;
  return access | constants.O_DIRECT | (options.exclusive ? constants.O_EXCL : 0);
}

/** Opens the drive and makes sure, on the descriptor itself, that the node is still that drive. */
export async function openDrive(drive: DriveAddress, flags: number): Promise<Answer<number>> {
  let fd: number;
  try {
    fd = await openLater(drive.devicePath, flags);
  } catch (error) {
    return { ok: false, absence: deviceAbsence(`Opening ${drive.devicePath}`, error) };
  }
  const found = await deviceNumberOf(fd);
  if (found === drive.deviceNumber) return answered(fd);
  await closeQuietly(fd);
  const text = `${drive.devicePath} was device ${drive.deviceNumber} and is now ${found}`;
  return missing('gone', text);
}

/** "major:minor" of an open device; words when it is something else. */
export async function deviceNumberOf(fd: number): Promise<string> {
  const stats = await fstatLater(fd, { bigint: true });
  if (!stats.isBlockDevice() && !stats.isCharacterDevice()) return 'no device';
  return formatDeviceNumber(stats.rdev);
}

/** Splits the C library's device number as its own macros do (glibc sys/sysmacros.h). */
export function formatDeviceNumber(device: bigint): string {
  const major = ((device >> 8n) & 0xfffn) | ((device >> 32n) & 0xfffff000n);
  const minor = (device & 0xffn) | ((device >> 12n) & 0xffffff00n);
  return `${major}:${minor}`;
}

/** Nothing can be done about a failing close: the descriptor is gone either way. */
export async function closeQuietly(fd: number): Promise<void> {
  await closeLater(fd).catch(() => undefined);
}
