import type { MountEntry } from './parse-mounts.js';

/** The drive itself or one of its partitions. */
export interface BlockPiece {
  /** The kernel's name in this boot. */
  readonly name: string;
  readonly deviceNumber: string;
  /** Number of the partition, null for the whole drive. */
  readonly partition: number | null;
  /** What is built on it, in words such as "the volume photos (LVM)". */
  readonly holders: readonly string[];
}

/** What the kernel tells about the use of one drive. Null where it could not be read. */
export interface UseFacts {
  /** False when another disk answers at the drive's device number now. */
  readonly sameDrive: boolean;
  readonly readOnly: boolean | null;
  /** The kernel's word for its zones, such as "host-managed"; null on kernels without one. */
  readonly zoned: string | null;
  readonly pieces: readonly BlockPiece[];
  /** Mounts that this process sees, and those of the system's first process. */
  readonly ownMounts: readonly MountEntry[] | null;
  readonly firstMounts: readonly MountEntry[] | null;
  readonly swapPaths: readonly string[] | null;
  /** Device numbers of the whole disks under the running system's root. */
  readonly rootDisks: readonly string[];
  /** Mounted btrfs file systems with the kernel names of all their members. */
  readonly btrfs: readonly { readonly id: string; readonly members: readonly string[] }[];
  /** Files or devices behind loop devices. */
  readonly loopFiles: readonly string[];
  readonly zfsPools: readonly string[];
}

export interface UseDecision {
  /** Each one sentence; empty means that nothing uses the drive as far as can be told. */
  readonly reasons: readonly string[];
  /** What the kernel cannot tell, so that an exclusive open has to show it. */
  readonly cannotTell: readonly string[];
}

/**
 * Decides whether a drive is in use. What could not be read counts as use: no guess ever frees it.
 */
export function decideUse(facts: UseFacts): UseDecision {
  const reasons = [
    ...(facts.sameDrive
      ? []
      : ['Another disk answers in its place now: the box has to be looked at again']),
    ...systemReasons(facts),
    ...mountReasons(facts),
    ...swapReasons(facts),
    ...facts.pieces.flatMap((piece) =>
      piece.holders.map((holder) => `${name(piece)} belongs to ${holder}`),
    ),
    ...btrfsReasons(facts),
    ...loopReasons(facts),
    ...readOnlyReasons(facts),
    ...zoneReasons(facts),
  ];
  return { reasons: [...new Set(reasons)], cannotTell: zfsRemarks(facts) };
}

function name({ partition }: BlockPiece): string {
  return partition === null ? 'The drive' : `Its partition ${partition}`;
}

function systemReasons({ pieces, rootDisks }: UseFacts): readonly string[] {
  const isRoot = pieces.some(({ deviceNumber }) => rootDisks.includes(deviceNumber));
  return isRoot ? ['It is the system drive: the running system lies on it'] : [];
}

function mountReasons({ pieces, ownMounts, firstMounts }: UseFacts): readonly string[] {
  if (ownMounts === null || firstMounts === null) {
    return ['Whether it is mounted cannot be told: the list of mounts could not be read'];
  }
  return pieces.flatMap((piece) =>
    [...ownMounts, ...firstMounts]
      .filter((mount) => isOn(piece, mount))
      .map(({ mountPoint }) => `${name(piece)} is mounted at ${mountPoint}`),
  );
}

/** File systems over several disks have an anonymous number: there the source names one member. */
function isOn(piece: BlockPiece, { deviceNumber, source }: MountEntry): boolean {
  return deviceNumber === piece.deviceNumber || isPathOf(piece, source);
}

function isPathOf({ name: kernelName }: BlockPiece, path: string): boolean {
  return path === `/dev/${kernelName.replaceAll('!', '/')}`;
}

function swapReasons({ pieces, swapPaths }: UseFacts): readonly string[] {
  if (swapPaths === null)
    return ['Whether it is swap space cannot be told: /proc/swaps could not be read'];
  const used = pieces.filter((piece) => swapPaths.some((path) => isPathOf(piece, path)));
  return used.map((piece) => `${name(piece)} is swap space in use`);
}

function btrfsReasons({ pieces, btrfs }: UseFacts): readonly string[] {
  return pieces.flatMap((piece) =>
    btrfs
      .filter(({ members }) => members.includes(piece.name))
      .map(({ id }) => `${name(piece)} is a member of the mounted btrfs file system ${id}`),
  );
}

function loopReasons({ pieces, loopFiles }: UseFacts): readonly string[] {
  const used = pieces.filter((piece) => loopFiles.some((path) => isPathOf(piece, path)));
  return used.map((piece) => `${name(piece)} is shown once more as a loop device`);
}

function readOnlyReasons({ readOnly }: UseFacts): readonly string[] {
  if (readOnly === null) return ['Whether it is write-protected cannot be told'];
  return readOnly ? ['It is write-protected'] : [];
}

/** Writes that come in another order fail there, which would speak against a sound drive. */
function zoneReasons({ zoned }: UseFacts): readonly string[] {
  return zoned === 'host-managed'
    ? ['It takes writes only in the order of its zones, which a burn-in here does not keep to']
    : [];
}

function zfsRemarks({ zfsPools }: UseFacts): readonly string[] {
  if (zfsPools.length === 0) return [];
  const pools = zfsPools.join(', ');
  return [`ZFS pools are in use (${pools}) and the kernel does not tell on which drives they lie`];
}
