import type { DriveSeen } from '../../checks/part.js';
import type { Box } from '../box/box.js';
import { baseDisks } from './base-disks.js';
import { type BlockPiece, decideUse, type UseDecision, type UseFacts } from './in-use-decide.js';
import { type MountEntry, parseMounts, parseSwaps } from './parse-mounts.js';
import { namesIn, numberOrNull, realPathOrNull, textOrNull } from './read-kernel.js';

/** What is needed to find a drive again in this boot. */
export type LocatedDrive = Pick<DriveSeen, 'deviceNumber' | 'diskSequence'>;

/** Reasons why a drive is in use, each one sentence; empty when nothing uses it. */
export async function driveInUse(box: Box, drive: LocatedDrive): Promise<string[]> {
  return [...(await lookAtUse(box, drive)).reasons];
}

/** The same with what the kernel cannot tell. */
export async function lookAtUse(box: Box, drive: LocatedDrive): Promise<UseDecision> {
  return decideUse(await useFacts(box, drive));
}

async function useFacts(box: Box, drive: LocatedDrive): Promise<UseFacts> {
  const folder = await realPathOrNull(box, `/sys/dev/block/${drive.deviceNumber}`);
  const sequence = folder === null ? null : await textOrNull(box, `${folder}/diskseq`);
  const ownMounts = await mountsOf(box, 'self');
  const firstMounts = await mountsOf(box, '1');
  const btrfs = await btrfsMembers(box);
  return {
    sameDrive: folder !== null && sequence === drive.diskSequence,
    readOnly: await flag(box, `${folder ?? ''}/ro`),
    zoned: folder === null ? null : await textOrNull(box, `${folder}/queue/zoned`),
    pieces: folder === null ? [] : await piecesOf(box, folder),
    ownMounts,
    firstMounts,
    swapPaths: await swapPaths(box),
    rootDisks: await rootDisks(box, { mounts: [ownMounts, firstMounts], btrfs }),
    btrfs,
    loopFiles: await loopFiles(box),
    zfsPools: await zfsPools(box),
  };
}

async function flag(box: Box, path: string): Promise<boolean | null> {
  const text = await textOrNull(box, path);
  return text === '0' ? false : text === '1' ? true : null;
}

async function piecesOf(box: Box, folder: string): Promise<readonly BlockPiece[]> {
  const pieces = [await pieceOf(box, folder, null)];
  for (const name of await namesIn(box, folder)) {
    const partition = await numberOrNull(box, `${folder}/${name}/partition`);
    if (partition !== null) pieces.push(await pieceOf(box, `${folder}/${name}`, partition));
  }
  return pieces;
}

async function pieceOf(box: Box, folder: string, partition: number | null): Promise<BlockPiece> {
  const holders: string[] = [];
  for (const name of await namesIn(box, `${folder}/holders`)) {
    holders.push(await holderWords(box, name));
  }
  return {
    name: folder.slice(folder.lastIndexOf('/') + 1),
    deviceNumber: (await textOrNull(box, `${folder}/dev`)) ?? '',
    partition,
    holders,
  };
}

/** A holder under the name that its owner gave it. Source: dm uuid prefixes, from memory. */
async function holderWords(box: Box, name: string): Promise<string> {
  if (/^md/.test(name)) return `the array ${name}`;
  const given = await textOrNull(box, `/sys/class/block/${name}/dm/name`);
  if (given === null) return `${name}, which is built on it`;
  const uuid = (await textOrNull(box, `/sys/class/block/${name}/dm/uuid`)) ?? '';
  if (uuid.startsWith('LVM-')) return `the volume ${given} (LVM)`;
  if (uuid.startsWith('CRYPT-')) return `the encrypted volume ${given}`;
  if (uuid.startsWith('mpath-')) return `the multipath disk ${given}`;
  return `the mapped disk ${given}`;
}

async function mountsOf(box: Box, process: string): Promise<readonly MountEntry[] | null> {
  const answer = await box.kernelText(`/proc/${process}/mountinfo`);
  return answer.ok ? parseMounts(answer.value) : null;
}

/** A kernel built without swap has no such file: that is a clear no. */
async function swapPaths(box: Box): Promise<readonly string[] | null> {
  const answer = await box.kernelText('/proc/swaps');
  if (answer.ok) return parseSwaps(answer.value);
  return answer.absence.kind === 'not-there' ? [] : null;
}

async function btrfsMembers(box: Box): Promise<UseFacts['btrfs']> {
  const folders = (await namesIn(box, '/sys/fs/btrfs')).filter((name) =>
    /^[0-9a-f-]{36}$/.test(name),
  );
  return Promise.all(
    folders.map(async (id) => ({ id, members: await namesIn(box, `/sys/fs/btrfs/${id}/devices`) })),
  );
}

interface RootFacts {
  readonly mounts: readonly (readonly MountEntry[] | null)[];
  readonly btrfs: UseFacts['btrfs'];
}

/** The last mount on "/" hides earlier ones. Its members count through the file system as well. */
async function rootDisks(box: Box, { mounts, btrfs }: RootFacts): Promise<readonly string[]> {
  const disks = new Set<string>();
  for (const list of mounts) {
    const root = list?.findLast(({ mountPoint }) => mountPoint === '/');
    if (root === undefined) continue;
    const sourceName = root.source.startsWith('/dev/') ? root.source.slice(5) : null;
    const members = btrfs.find(
      ({ members: all }) => sourceName !== null && all.includes(sourceName),
    );
    const names = [sourceName, ...(members?.members ?? [])].filter((name) => name !== null);
    const starts = [
      `/sys/dev/block/${root.deviceNumber}`,
      ...names.map((name) => `/sys/class/block/${name.replaceAll('/', '!')}`),
    ];
    for (const start of starts) {
      for (const disk of await baseDisks(box, start)) disks.add(disk);
    }
  }
  return [...disks];
}

async function loopFiles(box: Box): Promise<readonly string[]> {
  const loops = (await namesIn(box, '/sys/block')).filter((name) => /^loop\d+$/.test(name));
  const files = loops.map((name) => textOrNull(box, `/sys/block/${name}/loop/backing_file`));
  return (await Promise.all(files)).filter((file) => file !== null);
}

async function zfsPools(box: Box): Promise<readonly string[]> {
  const pools: string[] = [];
  for (const name of await namesIn(box, '/proc/spl/kstat/zfs')) {
    const state = await textOrNull(box, `/proc/spl/kstat/zfs/${name}/state`);
    if (state !== null) pools.push(name);
  }
  return pools;
}
