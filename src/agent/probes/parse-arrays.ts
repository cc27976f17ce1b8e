/** Texts of kernel files about arrays and pools, each read strictly: anything else is null. */

/** "3907029168 / 7814037168" sectors of a sync; null for "none", "delayed" and what is no pair. */
export function parseSyncPosition(
  text: string | null,
): { readonly doneSectors: number; readonly totalSectors: number } | null {
  const match = /^(\d{1,15}) \/ (\d{1,15})$/.exec(text ?? '');
  if (match === null) return null;
  const [doneSectors, totalSectors] = [Number(match[1]), Number(match[2])];
  return totalSectors > 0 && doneSectors <= totalSectors ? { doneSectors, totalSectors } : null;
}

/**
 * Copies that level 10 keeps of each block: near copies in the low byte of the layout, far copies
 * in the next. Source: Linux drivers/md/raid10.c setup_geo.
 */
export function copiesOfLayout(layout: number | null): number | null {
  if (layout === null || layout < 0) return null;
  const copies = (layout & 0xff) * ((layout >> 8) & 0xff);
  return copies >= 1 ? copies : null;
}

/** A kernel file holds one page of text; a list that fills it may go on. */
const pageBytes = 4096;

/**
 * Sectors of 512 bytes that md keeps out of use on a member, from lines of "start length". Null
 * when a line is anything else; a last line that the page's end cut is left out. Source: Linux
 * Documentation/admin-guide/md.rst, bad_blocks, and block/badblocks.c badblocks_show.
 */
export function parseBadSectors(
  text: string,
): { readonly sectors: number; readonly isCut: boolean } | null {
  const isCut = text.length >= pageBytes - 32;
  const lines = text.split('\n').filter((line) => line !== '');
  const whole = isCut ? lines.slice(0, -1) : lines;
  let sectors = 0;
  for (const line of whole) {
    const match = /^\d{1,16} (\d{1,10})$/.exec(line.trim());
    if (match === null) return null;
    sectors += Number(match[1]);
  }
  return { sectors, isCut };
}

/** One of the five error counters that btrfs keeps per device in its own tree. */
export interface DeviceErrors {
  readonly writes: number;
  readonly reads: number;
  readonly flushes: number;
  readonly damagedBlocks: number;
  readonly staleBlocks: number;
}

/** Source: Linux fs/btrfs/sysfs.c btrfs_devinfo_error_stats_show; "invalid" when not loaded. */
export function parseDeviceErrors(text: string | null): DeviceErrors | null {
  const counts = new Map<string, number>();
  for (const line of (text ?? '').split('\n')) {
    const match = /^(\w+_errs) (\d{1,15})$/.exec(line.trim());
    if (match !== null) counts.set(match[1] ?? '', Number(match[2]));
  }
  const [writes, reads, flushes] = ['write_errs', 'read_errs', 'flush_errs'].map((name) =>
    counts.get(name),
  );
  const [damagedBlocks, staleBlocks] = ['corruption_errs', 'generation_errs'].map((name) =>
    counts.get(name),
  );
  if (writes === undefined || reads === undefined || flushes === undefined) return null;
  if (damagedBlocks === undefined || staleBlocks === undefined) return null;
  return { writes, reads, flushes, damagedBlocks, staleBlocks };
}

/**
 * States of a ZFS pool with what they mean, in the order of their codes. Source: OpenZFS commit
 * 855651aa (the state file) and module/zfs/spa_misc.c, from memory.
 */
export const poolStates: readonly { readonly word: string; readonly text: string }[] = [
  { word: 'ONLINE', text: 'in order, as the pool says of itself' },
  { word: 'DEGRADED', text: 'running with members missing or faulty' },
  { word: 'FAULTED', text: 'not usable: too much of it is damaged' },
  { word: 'UNAVAIL', text: 'not usable: members cannot be opened' },
  { word: 'OFFLINE', text: 'taken out of use by request' },
  { word: 'REMOVED', text: 'not usable: members were removed while it ran' },
  { word: 'SUSPENDED', text: 'held still after failed requests' },
  { word: 'TRANSITIONING', text: 'just being imported or exported' },
];

/** Code and meaning of a pool state; null for a word that is not known. */
export function parsePoolState(
  text: string | null,
): { readonly code: number; readonly text: string } | null {
  const code = poolStates.findIndex(({ word }) => word === (text ?? '').trim());
  const state = poolStates[code];
  return state === undefined ? null : { code, text: state.text };
}

/** Why a kernel file told nothing: it is not there, or holds what is not known here. */
export function notKnown(file: string, text: string | null): string {
  return text === null
    ? `The kernel gives no file ${file} for it`
    : `The kernel gave "${text.slice(0, 20)}" in ${file}, which is not known here`;
}
