import type { DriveSeen, Inventory, PartReadings } from '../../checks/part.js';
import type { Box } from '../box/box.js';
import { parseDevicePath } from './parse-device-path.js';
import { driveSataSpeedMax, linkOfPort, parseSataSpeed } from './parse-sata.js';
import { identifyWord, vitalIdentify } from './parse-vital-pages.js';
import { bytesOrNull, realPathOrNull, textOrNull } from './read-kernel.js';
import { type SataLinkSeen, sataLinkReadings } from './sata-link-readings.js';

/** SATA links of drives on ports that libata runs. Nothing here asks the drive. */
export async function readSataLinks(
  box: Box,
  inventory: Inventory,
): Promise<readonly PartReadings[]> {
  const parts: PartReadings[] = [];
  for (const drive of inventory.drives) {
    if (drive.reachedBy !== 'ata') continue;
    const link = await readSataLink(box, drive);
    parts.push({ identityKey: drive.identityKey, readings: sataLinkReadings(link) });
  }
  return parts;
}

async function readSataLink(box: Box, drive: DriveSeen): Promise<SataLinkSeen> {
  const folder = `/sys/block/${drive.kernelName}`;
  const place = parseDevicePath((await realPathOrNull(box, folder)) ?? '');
  const identify = vitalIdentify(await bytesOrNull(box, `${folder}/device/vpd_pg89`));
  const driveMax = identify === null ? null : driveSataSpeedMax(identifyWord(identify, 76));
  if (place.ataPort === null) {
    return { behindLibata: false, now: null, hardwareMax: null, allowedMax: null, driveMax };
  }
  const link = `/sys/class/ata_link/${linkName(place.ataPort, place.channel ?? 0)}`;
  const speed = async (file: string) => parseSataSpeed(await textOrNull(box, `${link}/${file}`));
  return {
    behindLibata: true,
    now: await speed('sata_spd'),
    hardwareMax: await speed('hw_sata_spd_limit'),
    allowedMax: await speed('sata_spd_limit'),
    driveMax,
  };
}

/** Links behind a port multiplier carry its port too: "link3.1". Source: libata-transport.c. */
function linkName(ataPort: string, channel: number): string {
  const host = linkOfPort(ataPort);
  return channel === 0 ? host : `${host}.${channel}`;
}
