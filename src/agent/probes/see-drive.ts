import type { DriveSeen } from '../../checks/part.js';
import type { Box } from '../box/box.js';
import { type KeptNames, nvmeNames, scsiNames, virtualNames } from './drive-names.js';
import { portOf } from './drive-port.js';
import { type DevicePlace, parseDevicePath } from './parse-device-path.js';
import { readPciLink } from './pci-links.js';
import { namesIn, numberOrNull, realPathOrNull, textOrNull } from './read-kernel.js';
import { type Visibility, visibilityOf } from './visibility.js';

/** A drive before its lasting identity is settled among all drives. */
export interface DriveDraft {
  readonly seen: Omit<DriveSeen, 'id' | 'identityKey' | 'duplicateIdentity' | 'controller'>;
  readonly controllerAddress: string | null;
  /** Where it hangs, for what has no name of its own. */
  readonly place: string;
}

/** Reads what the kernel keeps of one block device. No command goes to the drive. */
export async function seeDrive(box: Box, name: string): Promise<DriveDraft> {
  const folder = `/sys/block/${name}`;
  const place = await placeOf(box, folder);
  const backingFile = await textOrNull(box, `${folder}/loop/backing_file`);
  const vendor = (await textOrNull(box, `${folder}/device/vendor`)) ?? '';
  const product = (await textOrNull(box, `${folder}/device/model`)) ?? '';
  const visibility = visibilityOf({ blockName: name, place, vendor, product, backingFile });
  const names = await namesFor(box, folder, { place, visibility });
  const isOwnFunction = visibility.reachedBy === 'nvme' || place.virtualBy !== null;
  const address = place.pciAddresses.at(-1) ?? null;
  const port = isOwnFunction ? null : await portOf(box, place);
  return {
    seen: {
      kind: 'drive',
      ...pick(names),
      ...(await sizesOf(box, folder)),
      rotating: await rotatingOf(box, folder, { names, visibility }),
      ...visibility,
      kernelName: name,
      devicePath: `/dev/${name.replaceAll('!', '/')}`,
      deviceNumber: (await textOrNull(box, `${folder}/dev`)) ?? '',
      diskSequence: await textOrNull(box, `${folder}/diskseq`),
      port,
      ...(await ownLinkOf(box, isOwnFunction ? address : null)),
      ...(isOwnFunction ? slotOf(place) : {}),
    },
    controllerAddress: isOwnFunction ? null : address,
    place: backingFile ?? placeText(address, port, `/dev/${name}`),
  };
}

/**
 * With several paths to one NVMe drive its folder is virtual: then its controller's path counts.
 */
async function placeOf(box: Box, folder: string): Promise<DevicePlace> {
  const realPath = (await realPathOrNull(box, folder)) ?? folder;
  const place = parseDevicePath(realPath);
  if (!realPath.includes('/nvme-subsystem/')) return place;
  const device = await realPathOrNull(box, `${folder}/device`);
  const controller = (await namesIn(box, device ?? '')).find((entry) => /^nvme\d+$/.test(entry));
  if (controller === undefined) return place;
  return parseDevicePath((await realPathOrNull(box, `${device}/${controller}`)) ?? realPath);
}

interface Reached {
  readonly place: DevicePlace;
  readonly visibility: Visibility;
}

function namesFor(box: Box, folder: string, { place, visibility }: Reached): Promise<KeptNames> {
  if (visibility.reachedBy === 'nvme') return nvmeNames(box, folder);
  if (visibility.reachedBy === 'virtual') return virtualNames(box, folder);
  return scsiNames(box, folder, place);
}

function pick({ model, serial, firmware, worldWideName }: KeptNames) {
  return { model, serial, firmware, worldWideName };
}

async function sizesOf(box: Box, folder: string) {
  const logical = (await numberOrNull(box, `${folder}/queue/logical_block_size`)) ?? 512;
  return {
    capacityBytes: ((await numberOrNull(box, `${folder}/size`)) ?? 0) * 512,
    logicalBlockBytes: logical,
    physicalBlockBytes: (await numberOrNull(box, `${folder}/queue/physical_block_size`)) ?? logical,
  };
}

/** The kernel assumes a turning drive where nothing is told, so behind USB its "1" says nothing. */
async function rotatingOf(
  box: Box,
  folder: string,
  { names, visibility }: { names: KeptNames; visibility: Visibility },
): Promise<boolean | null> {
  if (visibility.notVisibleWhy !== null) return null;
  if (names.rotation !== null) return names.rotation > 1;
  const flag = await textOrNull(box, `${folder}/queue/rotational`);
  if (flag === '0') return false;
  return flag === '1' && visibility.reachedBy !== 'usb' ? true : null;
}

async function ownLinkOf(box: Box, address: string | null) {
  if (address === null) return {};
  return { pciAddress: address, pciLink: await readPciLink(box, address) };
}

/**
 * Only ports of the root keep their address when other cards come and go: numbers of the buses
 * behind them are given out anew at each boot.
 */
function slotOf({ pciAddresses }: DevicePlace): { readonly slotAddress?: string } {
  const above = pciAddresses.at(-2);
  return above !== undefined && /^[0-9a-f]+:00:/.test(above) ? { slotAddress: above } : {};
}

function placeText(address: string | null, port: string | null, devicePath: string): string {
  if (address === null) return devicePath;
  return port === null ? address : `${address}/${port}`;
}
