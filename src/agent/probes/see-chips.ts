import type { SensorChipSeen } from '../../checks/part.js';
import type { Box } from '../box/box.js';
import { driveChipNames } from './drive-chips.js';
import { namesIn, realPathOrNull, textOrNull } from './read-kernel.js';
import { transceiverChip } from './sensor-power.js';

/** A hwmon node of this boot, a drive's own or one of the board. */
export interface HwmonNode {
  /** Folder under /sys/class/hwmon, valid for this boot. */
  readonly folder: string;
  readonly chipName: string;
  /** Folder of the device that the node measures. */
  readonly ownerFolder: string;
  readonly temperatures: readonly number[];
  readonly fans: readonly number[];
  readonly powers: readonly number[];
}

export async function hwmonNodes(box: Box): Promise<readonly HwmonNode[]> {
  const nodes: HwmonNode[] = [];
  for (const name of await namesIn(box, '/sys/class/hwmon')) {
    const folder = `/sys/class/hwmon/${name}`;
    const files = await namesIn(box, folder);
    const realPath = (await realPathOrNull(box, folder)) ?? folder;
    nodes.push({
      folder,
      chipName: (await textOrNull(box, `${folder}/name`)) ?? 'unnamed',
      ownerFolder: ownerOf(realPath),
      temperatures: channelsOf(files, /^temp(\d+)_input$/),
      fans: channelsOf(files, /^fan(\d+)_input$/),
      powers: channelsOf(files, /^power(\d+)_input$/),
    });
  }
  return nodes;
}

/** Chips of the board: those with an input of ours and no drive behind them. */
export function boardChips(nodes: readonly HwmonNode[]): readonly SensorChipSeen[] {
  const wanted = nodes.filter(
    ({ chipName, temperatures, fans, powers }) =>
      !driveChipNames.includes(chipName) && temperatures.length + fans.length + powers.length > 0,
  );
  return wanted.map((node) => ({
    kind: 'sensor-chip',
    id: chipId(node, wanted),
    identityKey: `chip:${node.chipName}@${placeOf(node)}`,
    label: labelOf(node),
    folder: node.folder,
  }));
}

function labelOf({ chipName }: HwmonNode): string {
  return chipName === transceiverChip ? 'Transceiver in a network port' : `Sensor chip ${chipName}`;
}

/** Numbers of nodes change between boots; the device they belong to does not. */
function placeOf({ ownerFolder }: HwmonNode): string {
  return ownerFolder.replace('/sys/devices/', '');
}

function chipId(node: HwmonNode, all: readonly HwmonNode[]): string {
  const base = `sensor-chip-${plain(node.chipName)}`;
  const twins = all.filter(({ chipName }) => chipName === node.chipName);
  if (twins.length === 1) return base;
  return `${base}-${plain(placeOf(node).split('/').at(-1) ?? '')}`;
}

function plain(text: string): string {
  return text
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/g, '-')
    .replaceAll(/^-|-$/g, '');
}

function ownerOf(realPath: string): string {
  return realPath.replace(/\/hwmon\d+$/, '').replace(/\/hwmon$/, '');
}

function channelsOf(files: readonly string[], pattern: RegExp): readonly number[] {
  const numbers = files.flatMap((file) => pattern.exec(file)?.[1] ?? []).map(Number);
  return numbers.sort((a, b) => a - b);
}
