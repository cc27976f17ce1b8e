import type { ArraySeen, DriveSeen, Inventory, PartReadings } from '../../checks/part.js';
import type { Reading } from '../../checks/reading.js';
import type { Box } from '../box/box.js';
import { mdReadings } from './array-readings.js';
import type { MdMemberFiles } from './md-members.js';
import { type BtrfsDeviceFiles, btrfsReadings, zfsReadings } from './pool-readings.js';
import { namesIn, textOrNull } from './read-kernel.js';
import { drivesUnder } from './see-arrays.js';

/** State, missing members and work of each array and pool, from kernel files alone. */
export async function readArrays(
  box: Box,
  inventory: Pick<Inventory, 'drives' | 'arrays'>,
): Promise<readonly PartReadings[]> {
  const parts: PartReadings[] = [];
  for (const array of inventory.arrays ?? []) {
    const readings = await readArray(box, array, inventory.drives);
    parts.push({ identityKey: array.identityKey, readings });
  }
  return parts;
}

async function readArray(
  box: Box,
  array: ArraySeen,
  drives: readonly DriveSeen[],
): Promise<readonly Reading[]> {
  switch (array.family) {
    case 'md':
      return readMd(box, array, drives);
    case 'btrfs':
      return readBtrfs(box, array);
    case 'zfs':
      return zfsReadings(await textOrNull(box, `${array.folder}/state`));
  }
}

async function readMd(
  box: Box,
  { folder }: ArraySeen,
  drives: readonly DriveSeen[],
): Promise<readonly Reading[]> {
  const file = (name: string) => textOrNull(box, `${folder}/md/${name}`);
  return mdReadings({
    level: await file('level'),
    raidDisks: await file('raid_disks'),
    layout: await file('layout'),
    arrayState: await file('array_state'),
    degraded: await file('degraded'),
    syncAction: await file('sync_action'),
    syncCompleted: await file('sync_completed'),
    syncSpeed: await file('sync_speed'),
    mismatches: await file('mismatch_cnt'),
    lastWork: await file('last_sync_action'),
    members: await mdMembers(box, folder, drives),
  });
}

async function mdMembers(
  box: Box,
  folder: string,
  drives: readonly DriveSeen[],
): Promise<readonly MdMemberFiles[]> {
  const members: MdMemberFiles[] = [];
  for (const name of await namesIn(box, `${folder}/md`)) {
    if (!name.startsWith('dev-')) continue;
    const member = `${folder}/md/${name}`;
    const ids = await drivesUnder(box, `${member}/block`, drives);
    const slot = await textOrNull(box, `${member}/slot`);
    const isPlaced = slot !== null && /^\d+$/.test(slot);
    members.push({
      name: ids.join(' and ') || (isPlaced ? `member ${slot}` : 'member without a place'),
      state: await textOrNull(box, `${member}/state`),
      slot,
      errors: await textOrNull(box, `${member}/errors`),
      badBlocks: await textOrNull(box, `${member}/bad_blocks`),
    });
  }
  return numbered(members.sort((one, other) => one.name.localeCompare(other.name)));
}

/** Members that only a number tells apart, such as two that lost their drives. */
function numbered(members: readonly MdMemberFiles[]): readonly MdMemberFiles[] {
  return members.map((member, index) => {
    const alike = members.slice(0, index).filter(({ name }) => name === member.name).length;
    return alike === 0 ? member : { ...member, name: `${member.name}, number ${alike + 1}` };
  });
}

async function readBtrfs(box: Box, { folder, members }: ArraySeen): Promise<readonly Reading[]> {
  const numbers = await namesIn(box, `${folder}/devinfo`);
  const only = numbers.length === 1 && members.length === 1 ? members[0] : undefined;
  const devices: BtrfsDeviceFiles[] = [];
  for (const number of numbers) {
    devices.push({
      name: only ?? `device ${number}`,
      errorStats: await textOrNull(box, `${folder}/devinfo/${number}/error_stats`),
      missing: await textOrNull(box, `${folder}/devinfo/${number}/missing`),
    });
  }
  return btrfsReadings({
    exclusiveOperation: await textOrNull(box, `${folder}/exclusive_operation`),
    profiles: {
      data: await profilesOf(box, `${folder}/allocation/data`),
      metadata: await profilesOf(box, `${folder}/allocation/metadata`),
    },
    devices,
  });
}

/** Folders under allocation/data and allocation/metadata are named after profiles in use. */
async function profilesOf(box: Box, folder: string): Promise<readonly string[]> {
  const names = await namesIn(box, folder);
  return names.filter((name) => /^(single|dup|raid\d+(c\d)?)$/.test(name));
}
