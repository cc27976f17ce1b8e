import type {
  ArraySeen,
  ControllerSeen,
  DriveSeen,
  Inventory,
  MemorySeen,
} from '../../checks/part.js';
import { type Answer, answered, type Box, missing } from '../box/box.js';
import { isDriveOfBox } from './disk-names.js';
import { driveChipNames } from './drive-chips.js';
import { emptyGroups, type GroupFacts } from './empty-groups.js';
import { seeMachine } from './machine.js';
import { namesIn, numberOrNull, realPathOrNull, textOrNull } from './read-kernel.js';
import { seeArrays } from './see-arrays.js';
import { seeBox } from './see-box.js';
import { boardChips, type HwmonNode, hwmonNodes } from './see-chips.js';
import { seeControllers } from './see-controllers.js';
import { type DriveDraft, seeDrive } from './see-drive.js';
import { seeManagement } from './see-management.js';
import { seeMemory } from './see-memory.js';
import { settleIdentities } from './settle-identities.js';

/**
 * Everything that the box is made of, from the kernel's own copies. No drive is asked anything, so
 * a sleeping drive sleeps on and a silent one does not hold up the others; the board's controller
 * is asked who it is.
 */
export async function takeInventory(box: Box): Promise<Inventory> {
  const drafts = await draftDrives(box);
  const controllers = await seeControllers(box, functionsThatAreDrives(drafts));
  const drives = settleIdentities(drafts, controllers);
  const nodes = await hwmonNodes(box);
  const arrays = await seeArrays(box, drives);
  const facts = await box.machine();
  const memory = await seeMemory(box, facts.memoryModules ?? null);
  const management = await seeManagement(box);
  const groups = await groupFacts(box, { drives, controllers, nodes, arrays, memory });
  return {
    drives,
    controllers,
    sensorChips: boardChips(nodes),
    arrays,
    memory,
    ...(management.seen === null ? {} : { management: management.seen }),
    box: await seeBox(box, controllers),
    emptyWhy: {
      ...emptyGroups(groups),
      ...(management.why === null ? {} : { 'management-controller': management.why }),
    },
    machine: await seeMachine(box, facts),
  };
}

/**
 * One block device by its path, loop devices included, as the inventory would show it. Its
 * identity is compared with all drives of the box, so that a twin is noticed.
 */
export async function driveAtPath(box: Box, devicePath: string): Promise<Answer<DriveSeen>> {
  const name = /^\/dev\/([A-Za-z][A-Za-z0-9/]*)$/.exec(devicePath)?.[1]?.replaceAll('/', '!');
  if (name === undefined || (await realPathOrNull(box, `/sys/block/${name}`)) === null) {
    return missing('not-there', `${devicePath} is no whole disk that the kernel shows`);
  }
  const drafts = (await draftDrives(box)).filter(({ seen }) => seen.kernelName !== name);
  const own = await seeDrive(box, name);
  const all = [...drafts, own];
  const controllers = await seeControllers(box, functionsThatAreDrives(all));
  const seen = settleIdentities(all, controllers).at(-1);
  if (seen === undefined || seen.capacityBytes === 0) {
    return missing('not-there', `${devicePath} is there but empty: it has no capacity`);
  }
  return answered(seen);
}

async function draftDrives(box: Box): Promise<readonly DriveDraft[]> {
  const drafts: DriveDraft[] = [];
  for (const name of await namesIn(box, '/sys/block')) {
    const folder = `/sys/block/${name}`;
    const facts = {
      name,
      size: await numberOrNull(box, `${folder}/size`),
      hidden: (await textOrNull(box, `${folder}/hidden`)) === '1',
      removable: (await textOrNull(box, `${folder}/removable`)) === '1',
    };
    if (isDriveOfBox(facts)) drafts.push(await seeDrive(box, name));
  }
  return drafts;
}

function functionsThatAreDrives(drafts: readonly DriveDraft[]): ReadonlySet<string> {
  return new Set(drafts.flatMap(({ seen }) => seen.pciAddress ?? []));
}

interface Found {
  readonly drives: readonly DriveSeen[];
  readonly controllers: readonly ControllerSeen[];
  readonly nodes: readonly HwmonNode[];
  readonly arrays: readonly ArraySeen[];
  readonly memory: readonly MemorySeen[];
}

async function groupFacts(
  box: Box,
  { drives, controllers, nodes, arrays, memory }: Found,
): Promise<GroupFacts> {
  const isThere = async (path: string) => (await box.kernelFolder(path)).ok;
  const links = await namesIn(box, '/sys/class/ata_link');
  const kinds = controllers.map(({ kind }) => kind);
  return {
    drives: drives.length,
    virtualDrives: drives.filter(({ reachedBy }) => reachedBy === 'virtual').length,
    diskControllers: kinds.filter((kind) => kind === 'disk-controller').length,
    networkCards: kinds.filter((kind) => kind === 'network-card').length,
    arrays: arrays.length,
    memory: memory.length,
    memoryCounted: memory.filter(({ folder }) => folder !== null).length,
    chips: boardChips(nodes).length,
    temperatures: nodes.flatMap(({ temperatures }) => temperatures).length,
    fans: nodes
      .filter(({ chipName }) => !driveChipNames.includes(chipName))
      .flatMap(({ fans }) => fans).length,
    sataLinks: links.length === 0 ? 0 : drives.filter(isOnSataPort).length,
    hasHwmonFolder: await isThere('/sys/class/hwmon'),
    hasAtaFolder: await isThere('/sys/class/ata_port'),
    hasPciFolder: await isThere('/sys/bus/pci/devices'),
    sysReadable: await isThere('/sys/block'),
    virtualMachine: await isVirtualMachine(box, drives, controllers),
  };
}

function isOnSataPort({ port, reachedBy }: DriveSeen): boolean {
  return reachedBy === 'ata' && port !== null && port.startsWith('port-');
}

/** Told by the processor's "hypervisor" flag, or by a disk or card that a host made up. */
async function isVirtualMachine(
  box: Box,
  drives: readonly DriveSeen[],
  controllers: readonly ControllerSeen[],
): Promise<boolean> {
  const processor = (await textOrNull(box, '/proc/cpuinfo')) ?? '';
  if (/^flags\s*:.*\bhypervisor\b/m.test(processor)) return true;
  const isMadeUp = drives.some(
    ({ pciAddress, reachedBy }) => reachedBy === 'virtual' && pciAddress,
  );
  return isMadeUp || controllers.some((one) => one.virtual === true);
}
