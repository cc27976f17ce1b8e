import type { Box } from '../box/box.js';
import { ataLabel } from '../box/layouts/identity-strings.js';
import { isPlaceholderWorldWideName, worldWideNameOf } from './identity-rules.js';
import type { DevicePlace } from './parse-device-path.js';
import {
  identifyWorldWideName,
  vitalIdentify,
  vitalRotation,
  vitalSerial,
  vitalWorldWideName,
} from './parse-vital-pages.js';
import { bytesOrNull, textOrNull } from './read-kernel.js';

/** What the kernel keeps of a drive's own names. Nothing here asks the drive. */
export interface KeptNames {
  readonly vendor: string;
  readonly model: string;
  readonly serial: string;
  readonly firmware: string;
  readonly worldWideName: string | null;
  /** Turns per minute, 1 without a turning part, null when the kernel keeps no such page. */
  readonly rotation: number | null;
}

/**
 * NVMe: the controller's or the subsystem's files; the name of the namespace stands beside them.
 */
export async function nvmeNames(box: Box, blockFolder: string): Promise<KeptNames> {
  const file = (name: string) => textOrNull(box, `${blockFolder}/device/${name}`);
  return {
    vendor: '',
    model: (await file('model')) ?? '',
    serial: (await file('serial')) ?? '',
    firmware: (await file('firmware_rev')) ?? '',
    worldWideName: worldWideNameOf(await textOrNull(box, `${blockFolder}/wwid`)),
    rotation: 1,
  };
}

/** SCSI and everything that Linux shows as SCSI: kept pages first, short fields where none is. */
export async function scsiNames(
  box: Box,
  blockFolder: string,
  place: DevicePlace,
): Promise<KeptNames> {
  const file = async (name: string) =>
    (await textOrNull(box, `${blockFolder}/device/${name}`)) ?? '';
  const page = (name: string) => bytesOrNull(box, `${blockFolder}/device/${name}`);
  const vendor = await file('vendor');
  const identify = vendor === 'ATA' ? vitalIdentify(await page('vpd_pg89')) : null;
  const label = identify === null ? null : ataLabel(identify);
  const keptSerial = label?.serial ?? vitalSerial(await page('vpd_pg80'));
  return {
    vendor,
    model: label?.model ?? (await file('model')),
    serial: keptSerial ?? (await bridgeSerial(box, place)),
    firmware: identify === null ? await file('rev') : firmwareOf(identify),
    worldWideName:
      worldWideNameOf(await file('wwid')) ??
      trusted(vitalWorldWideName(await page('vpd_pg83'))) ??
      trusted(identify === null ? null : identifyWorldWideName(identify)),
    rotation: vitalRotation(await page('vpd_pgb1')),
  };
}

/**
 * Disks that no command reaches: virtio may carry a serial of up to 20 characters, a loop device
 * is known by its file, a memory card by what its own controller tells.
 */
export async function virtualNames(box: Box, blockFolder: string): Promise<KeptNames> {
  const file = (name: string) => textOrNull(box, `${blockFolder}/${name}`);
  const model =
    (await file('loop/backing_file')) ??
    (await file('device/model')) ??
    (await file('device/name'));
  return {
    vendor: '',
    model: model ?? '',
    serial: (await file('serial')) ?? (await file('device/serial')) ?? '',
    firmware: '',
    worldWideName: null,
    rotation: null,
  };
}

/** A bridge's own serial stands in where the bridge hides the drive's. */
async function bridgeSerial(box: Box, place: DevicePlace): Promise<string> {
  if (place.usbFolder === null) return '';
  return (await textOrNull(box, `${place.usbFolder}/serial`)) ?? '';
}

function trusted(name: string | null): string | null {
  return name === null || isPlaceholderWorldWideName(name) ? null : name;
}

/** Words 23 to 26, high byte first. */
function firmwareOf(identify: Uint8Array): string {
  const turned = Buffer.from(identify.subarray(46, 54)).swap16();
  return turned.toString('latin1').replaceAll('\0', ' ').trim();
}
