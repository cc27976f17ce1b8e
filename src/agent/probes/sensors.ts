import type { DriveSeen, Inventory, PartReadings } from '../../checks/part.js';
import type { Reading } from '../../checks/reading.js';
import type { Box } from '../box/box.js';
import { driveChipNames } from './drive-chips.js';
import { isAsleep } from './is-asleep.js';
import { parseDevicePath } from './parse-device-path.js';
import { realPathOrNull, textOrNull } from './read-kernel.js';
import { boardChips, type HwmonNode, hwmonNodes } from './see-chips.js';
import { powerReading } from './sensor-power.js';
import { type Channel, channelReadings, notAsked } from './sensor-readings.js';

/**
 * Temperatures and fans of board chips, and of drives whose sensor can be read without harm. The
 * drivetemp sensor of a disk sends it a command, which may hold it awake (Linux drivetemp.rst), so
 * it is read only for drives that `mayAsk` allows, and that are not asleep again already: a short
 * timer lets a disk fall asleep between its last use and this look.
 */
export async function readSensors(
  box: Box,
  inventory: Inventory,
  options: { readonly mayAsk?: (drive: DriveSeen) => Promise<boolean> } = {},
): Promise<readonly PartReadings[]> {
  const nodes = await hwmonNodes(box);
  const parts: PartReadings[] = [];
  for (const chip of boardChips(nodes)) {
    const node = nodes.find(({ folder }) => folder === chip.folder);
    if (node === undefined) continue;
    parts.push({ identityKey: chip.identityKey, readings: await readNode(box, node) });
  }
  for (const node of nodes.filter(({ chipName }) => driveChipNames.includes(chipName))) {
    const drive = await driveOf(box, node, inventory);
    if (drive === null) continue;
    const isAllowed = async () => (await options.mayAsk?.(drive)) === true;
    const isOwn = node.chipName !== 'drivetemp';
    const mayAsk = isOwn || ((await isAllowed()) && !(await isAsleep(box, drive)));
    const readings = mayAsk ? await readNode(box, node) : [notAsked(node.temperatures[0] ?? 1)];
    parts.push({ identityKey: drive.identityKey, readings });
  }
  return parts;
}

/** Identities of the drives whose temperature the kernel's own sensor gives. */
export async function drivesWithSensor(
  box: Box,
  inventory: Inventory,
): Promise<ReadonlySet<string>> {
  const found = new Set<string>();
  for (const node of await hwmonNodes(box)) {
    if (!driveChipNames.includes(node.chipName)) continue;
    const drive = await driveOf(box, node, inventory);
    if (drive !== null) found.add(drive.identityKey);
  }
  return found;
}

/** The drive that shares the node's device folder, or its PCI function with several paths. */
async function driveOf(
  box: Box,
  { ownerFolder }: HwmonNode,
  { drives }: Inventory,
): Promise<DriveSeen | null> {
  for (const drive of drives) {
    const realPath = await realPathOrNull(box, `/sys/block/${drive.kernelName}`);
    if (realPath?.startsWith(`${ownerFolder}/`)) return drive;
  }
  const address = parseDevicePath(ownerFolder).pciAddresses.at(-1);
  const isOnFunction = ({ reachedBy, pciAddress }: DriveSeen) =>
    reachedBy === 'nvme' && pciAddress === address;
  return address === undefined ? null : (drives.find(isOnFunction) ?? null);
}

async function readNode(box: Box, node: HwmonNode): Promise<readonly Reading[]> {
  const readings: Reading[] = [];
  const { chipName } = node;
  for (const number of node.temperatures) {
    const channel = await readChannel(box, node, { kind: 'temp', number });
    readings.push(...channelReadings(channel, chipName));
  }
  for (const number of node.powers) {
    const channel = await readChannel(box, node, { kind: 'power', number });
    readings.push(powerReading(channel, chipName));
  }
  for (const number of node.fans) {
    const channel = await readChannel(box, node, { kind: 'fan', number });
    readings.push(...channelReadings(channel, chipName));
  }
  return readings;
}

async function readChannel(
  box: Box,
  { folder }: HwmonNode,
  { kind, number }: { kind: Channel['kind']; number: number },
): Promise<Channel> {
  const file = (name: string) => textOrNull(box, `${folder}/${kind}${number}_${name}`);
  const input = await box.kernelText(`${folder}/${kind}${number}_input`);
  return {
    kind,
    number,
    label: await file('label'),
    input: input.ok ? input.value.trim() : null,
    inputWhy: input.ok ? null : input.absence.text,
    fault: (await file('fault')) === '1',
    high: await file('max'),
    critical: await file('crit'),
  };
}
