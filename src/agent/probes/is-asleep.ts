import type { Box, DriveAddress } from '../box/box.js';
import { startRound } from './asking-round.js';
import { askPowerMode } from './collect-ata.js';
import { askScsiStandby } from './collect-scsi.js';

/**
 * Whether a drive sleeps, asked without waking it. A path that does not tell counts as awake: what
 * follows then is an ordinary read, which the kernel's own users would send just the same.
 */
export async function isAsleep(box: Box, drive: DriveAddress): Promise<boolean> {
  const round = startRound(box, drive);
  switch (drive.reachedBy) {
    case 'ata':
    case 'usb':
      return (await askPowerMode(round)) === true;
    case 'scsi':
      return askScsiStandby(round);
    case 'nvme':
    case 'virtual':
      return false;
  }
}
