import type { DriveSeen, Inventory, PartReadings } from '../../checks/part.js';
import { type Figure, measured } from '../../checks/reading.js';
import type { Box } from '../box/box.js';
import { numberOrNull } from './read-kernel.js';

/**
 * How long the kernel waits for a command of each drive before it resets it. A drive that tries
 * longer than this to read a bad place is reset in the middle of it and thrown out of its array;
 * its own limit is the reading `error-recovery-time-limit`. Nothing here asks the drive.
 */
export async function readTimeLimits(
  box: Box,
  { drives }: Pick<Inventory, 'drives'>,
): Promise<readonly PartReadings[]> {
  const parts: PartReadings[] = [];
  for (const drive of drives) {
    if (drive.reachedBy === 'virtual') continue;
    const limit = await limitOf(box, drive);
    if (limit === null) continue;
    const { source, milliseconds } = limit;
    const figure: Figure = { metric: 'kernel-time-limit', unit: 'milliseconds', source };
    parts.push({ identityKey: drive.identityKey, readings: [measured(figure, milliseconds)] });
  }
  return parts;
}

/** SCSI and ATA disks in whole seconds (drivers/scsi/scsi_sysfs.c), others by their queue. */
async function limitOf(
  box: Box,
  { kernelName }: DriveSeen,
): Promise<{ readonly source: string; readonly milliseconds: number } | null> {
  const folder = `/sys/block/${kernelName}`;
  const seconds = await numberOrNull(box, `${folder}/device/timeout`);
  if (seconds !== null && seconds > 0) {
    return { source: 'Kernel file timeout of the disk', milliseconds: seconds * 1000 };
  }
  const milliseconds = await numberOrNull(box, `${folder}/queue/io_timeout`);
  return milliseconds === null || milliseconds <= 0
    ? null
    : { source: 'Kernel file io_timeout of the queue', milliseconds };
}
