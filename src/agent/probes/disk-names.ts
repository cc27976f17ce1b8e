/**
 * Names under /sys/block that are not drives: memory disks, disks made of other disks, optical
 * and floppy drives, and the side areas of soldered flash. Source: Linux devices.txt, from memory.
 */
const notDrives = [
  /^z?ram\d+$/,
  /^dm-\d+$/,
  /^md[\d_]/,
  /^sr\d+$/,
  /^fd\d+$/,
  /^mtdblock\d+$/,
  /^bcache\d+$/,
  /^drbd\d+$/,
  /^zd\d+$/,
  /^mmcblk\d+(boot\d+|rpmb|gp\d+)$/,
];

export interface BlockFacts {
  readonly name: string;
  /** In units of 512 bytes, null when the kernel does not tell. */
  readonly size: number | null;
  readonly hidden: boolean;
  readonly removable: boolean;
}

/**
 * Whether a block device counts as a drive of the box. A fixed drive of size 0 counts: a drive
 * that failed at start shows itself like that. A loop device is a file, so it is no part.
 */
export function isDriveOfBox(facts: BlockFacts): boolean {
  if (facts.hidden || notDrives.some((pattern) => pattern.test(facts.name))) return false;
  if (/^loop\d+$/.test(facts.name)) return false;
  const isFixed = /^(sd|nvme|vd|xvd|hd)/.test(facts.name) && !facts.removable;
  return isFixed || (facts.size ?? 0) > 0;
}
