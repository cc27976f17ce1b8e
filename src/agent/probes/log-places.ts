import type { Inventory } from '../../checks/part.js';
import type { Box } from '../box/box.js';
import type { LogSubject } from './log-fact.js';
import { parseDevicePath } from './parse-device-path.js';
import { realPathOrNull } from './read-kernel.js';

/** A part as the kernel names it in this boot, kept so that a drive that is gone is still known. */
export interface LogPlace {
  readonly identityKey: string;
  readonly logicalBlockBytes: number;
  readonly names: readonly LogSubject[];
}

/** Names under which the kernel's log may speak of each drive, card and array, and of the box. */
export async function logPlaces(
  box: Box,
  { drives, controllers, arrays = [], box: itself }: Inventory,
): Promise<readonly LogPlace[]> {
  const places: LogPlace[] = [];
  for (const { identityKey, kernelName, logicalBlockBytes, pciAddress } of drives) {
    const realPath = (await realPathOrNull(box, `/sys/block/${kernelName}`)) ?? '';
    const names = [...driveNames(kernelName, realPath), ...(await pciNames(box, pciAddress))];
    places.push({ identityKey, logicalBlockBytes, names });
  }
  for (const { identityKey, pciAddress, driver } of controllers) {
    const ofDriver = driver === null ? [] : [{ by: 'driver', name: driver } as const];
    const names = [...ofDriver, ...(await pciNames(box, pciAddress))];
    places.push({ identityKey, logicalBlockBytes: 512, names });
  }
  for (const { identityKey, folder } of arrays) {
    const name = folder.slice(folder.lastIndexOf('/') + 1);
    places.push({ identityKey, logicalBlockBytes: 512, names: [{ by: 'array', name }] });
  }
  if (itself !== undefined) {
    const { identityKey } = itself;
    places.push({ identityKey, logicalBlockBytes: 512, names: [{ by: 'box', name: 'box' }] });
  }
  return places;
}

/** A function on PCI and the port above it, which speaks for the link between them. */
async function pciNames(
  box: Box,
  address: string | null | undefined,
): Promise<readonly LogSubject[]> {
  if (address === null || address === undefined) return [];
  const realPath = await realPathOrNull(box, `/sys/bus/pci/devices/${address}`);
  const names = parseDevicePath(realPath ?? '').pciAddresses.slice(-2);
  return names.map((name) => ({ by: 'pci', name }));
}

function driveNames(kernelName: string, realPath: string): readonly LogSubject[] {
  const { ataPort, usbPort } = parseDevicePath(realPath);
  const address = realPath.split('/').find((part) => /^\d+:\d+:\d+:\d+$/.test(part));
  const host = realPath.split('/').find((part) => /^host\d+$/.test(part));
  const nvme = /^(nvme\d+)n\d+$/.exec(kernelName)?.[1];
  const named = (by: LogSubject['by'], name: string | null | undefined): readonly LogSubject[] =>
    name === null || name === undefined ? [] : [{ by, name }];
  return [
    ...named('block-name', kernelName),
    ...named('ata-port', ataPort),
    ...named('usb-port', usbPort),
    ...named('scsi-address', address),
    ...named('scsi-host', host),
    ...named('nvme-controller', nvme),
  ];
}

/**
 * The one part that a line is about. A port with several drives behind it, and names that are not
 * known, give none: an event is never guessed onto a part.
 */
export function placeOf(subject: LogSubject, places: readonly LogPlace[]): LogPlace | null {
  const own = places.filter(({ names }) =>
    names.some(({ by, name }) => by === subject.by && name === subject.name),
  );
  return own.length === 1 ? (own[0] ?? null) : null;
}
