import type { ArraySeen, DriveSeen } from '../../checks/part.js';
import { mdLevelWords } from '../../checks/protection-words.js';
import type { Box } from '../box/box.js';
import { baseDisks } from './base-disks.js';
import { namesIn, realPathOrNull, textOrNull } from './read-kernel.js';

/** Md arrays, mounted btrfs file systems and ZFS pools, with their members by lasting names. */
export async function seeArrays(
  box: Box,
  drives: readonly DriveSeen[],
): Promise<readonly ArraySeen[]> {
  return [
    ...(await mdArrays(box, drives)),
    ...(await btrfsFileSystems(box, drives)),
    ...(await zfsPools(box)),
  ];
}

async function mdArrays(box: Box, drives: readonly DriveSeen[]): Promise<readonly ArraySeen[]> {
  const found: ArraySeen[] = [];
  for (const name of await namesIn(box, '/sys/block')) {
    if (!/^md/.test(name)) continue;
    const folder = `/sys/block/${name}`;
    const level = await textOrNull(box, `${folder}/md/level`);
    // A container holds other arrays and no data; an array that was stopped has no level.
    if (level === null || level === '' || level === 'container') continue;
    found.push(await mdArray(box, { name, folder, level }, drives));
  }
  return found;
}

async function mdArray(
  box: Box,
  { name, folder, level }: { name: string; folder: string; level: string },
  drives: readonly DriveSeen[],
): Promise<ArraySeen> {
  const names = await lastingNames(box, name);
  const uuid = names.uuid ?? (await textOrNull(box, `${folder}/md/uuid`));
  const members = await membersOf(box, folder, drives);
  const key = uuid === null || uuid === '' ? name : uuid.replaceAll(/[:-]/g, '');
  return {
    kind: 'array',
    id: `array-${plain(names.given ?? (uuid === null ? name : key.slice(0, 8)))}`,
    identityKey: `md:${key}`,
    label: `Array${names.given === null ? '' : ` "${names.given}"`}, ${mdLevelWords(level)}`,
    family: 'md',
    level,
    folder,
    members,
  };
}

/** The links that udev makes of an array's own record: its UUID and the name that a person gave. */
async function lastingNames(
  box: Box,
  name: string,
): Promise<{ readonly uuid: string | null; readonly given: string | null }> {
  let uuid: string | null = null;
  let given: string | null = null;
  for (const link of await namesIn(box, '/dev/disk/by-id')) {
    const match = /^md-(uuid|name)-(.+)$/.exec(link);
    if (match === null) continue;
    if ((await realPathOrNull(box, `/dev/disk/by-id/${link}`)) !== `/dev/${name}`) continue;
    const text = match[2] ?? '';
    if (match[1] === 'uuid') uuid = text;
    else given = text.slice(text.indexOf(':') + 1);
  }
  return { uuid, given };
}

async function membersOf(
  box: Box,
  folder: string,
  drives: readonly DriveSeen[],
): Promise<readonly string[]> {
  const ids = new Set<string>();
  for (const slave of await namesIn(box, `${folder}/slaves`)) {
    for (const id of await drivesUnder(box, `/sys/class/block/${slave}`, drives)) ids.add(id);
  }
  return [...ids].sort();
}

/** Ids of the drives under a block device; its folder's name never leaves this boot. */
export async function drivesUnder(
  box: Box,
  path: string,
  drives: readonly DriveSeen[],
): Promise<readonly string[]> {
  const numbers = await baseDisks(box, path);
  return drives.filter((one) => numbers.includes(one.deviceNumber)).map(({ id }) => id);
}

async function btrfsFileSystems(
  box: Box,
  drives: readonly DriveSeen[],
): Promise<readonly ArraySeen[]> {
  const found: ArraySeen[] = [];
  for (const uuid of await namesIn(box, '/sys/fs/btrfs')) {
    if (!/^[0-9a-f-]{36}$/.test(uuid)) continue;
    const folder = `/sys/fs/btrfs/${uuid}`;
    const given = await textOrNull(box, `${folder}/label`);
    const ids = new Set<string>();
    for (const name of await namesIn(box, `${folder}/devices`)) {
      for (const id of await drivesUnder(box, `/sys/class/block/${name}`, drives)) ids.add(id);
    }
    const hasName = given !== null && given !== '';
    found.push({
      kind: 'array',
      id: `pool-${plain(hasName ? given : uuid.slice(0, 8))}`,
      identityKey: `btrfs:${uuid}`,
      label: `Btrfs file system ${hasName ? `"${given}"` : uuid.slice(0, 8)}`,
      family: 'btrfs',
      level: null,
      folder,
      members: [...ids].sort(),
    });
  }
  return found;
}

async function zfsPools(box: Box): Promise<readonly ArraySeen[]> {
  const found: ArraySeen[] = [];
  for (const name of await namesIn(box, '/proc/spl/kstat/zfs')) {
    const folder = `/proc/spl/kstat/zfs/${name}`;
    if ((await textOrNull(box, `${folder}/state`)) === null) continue;
    found.push({
      kind: 'array',
      id: `pool-${plain(name)}`,
      identityKey: `zfs:${name}`,
      label: `ZFS pool "${name}"`,
      family: 'zfs',
      level: null,
      folder,
      members: [],
    });
  }
  return found;
}

function plain(text: string): string {
  const words = text.toLowerCase().replaceAll(/[^a-z0-9]+/g, '-');
  return words.replaceAll(/^-+|-+$/g, '') || 'unnamed';
}
