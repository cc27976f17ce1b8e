import type { Box } from '../box/box.js';
import type { DevicePlace } from './parse-device-path.js';
import { namesIn, numberOrNull } from './read-kernel.js';

/**
 * The port that carries a drive, by a name that lasts over boots: the number printed on the board
 * or card counts from the same end, though a maker may start at 0. Null where nothing tells.
 */
export async function portOf(box: Box, place: DevicePlace): Promise<string | null> {
  if (place.ataPort !== null) return sataPort(box, place.ataPort, place.channel);
  if (place.sasFolder !== null) return sasPort(box, place.sasFolder);
  if (place.usbPort !== null) return `usb-${place.usbPort.replaceAll('.', '-')}`;
  if (place.target !== null) return scsiPort(place);
  return null;
}

/** Behind a port multiplier the channel counts its ports; source: Linux libata-scsi.c. */
async function sataPort(box: Box, ataPort: string, channel: number | null): Promise<string | null> {
  const number = await numberOrNull(box, `/sys/class/ata_port/${ataPort}/port_no`);
  if (number === null) return null;
  return channel === null || channel === 0 ? `port-${number}` : `port-${number}-${channel}`;
}

/** Directly connected: the phy. Behind an expander: the bay that the expander tells. */
async function sasPort(box: Box, folder: string): Promise<string | null> {
  if (!folder.includes('/expander-')) {
    const above = folder.slice(0, folder.lastIndexOf('/'));
    const phy = (await namesIn(box, above)).map(phyNumber).find((number) => number !== null);
    if (phy !== undefined) return `phy-${phy}`;
  }
  const name = folder.slice(folder.lastIndexOf('/') + 1);
  const bay = await numberOrNull(box, `${folder}/sas_device/${name}/bay_identifier`);
  return bay === null ? null : `bay-${bay}`;
}

function phyNumber(name: string): number | null {
  const match = /^phy-\d+:(\d+)$/.exec(name);
  return match === null ? null : Number(match[1]);
}

function scsiPort({ channel, target, unit }: DevicePlace): string {
  const parts = [channel === 0 ? null : channel, target, unit === 0 ? null : unit];
  return `target-${parts.filter((part) => part !== null).join('-')}`;
}
