import type { PciLinkSeen } from '../../checks/part.js';
import type { Box } from '../box/box.js';
import { parseDevicePath } from './parse-device-path.js';
import { parseLinkSpeed, parseLinkWidth } from './parse-pci.js';
import { realPathOrNull, textOrNull } from './read-kernel.js';

const pciDevices = '/sys/bus/pci/devices';

/** The link of a PCI function: what is trained, what it could do, what the port above could do. */
export async function readPciLink(box: Box, address: string): Promise<PciLinkSeen> {
  const own = await maximumOf(box, address);
  const above = await portAbove(box, address);
  const port = above === null ? { speed: null, lanes: null } : await maximumOf(box, above);
  return {
    speedGigatransfers: parseLinkSpeed(await file(box, address, 'current_link_speed')),
    lanes: parseLinkWidth(await file(box, address, 'current_link_width')),
    ownSpeedMax: own.speed,
    ownLanesMax: own.lanes,
    portSpeedMax: port.speed,
    portLanesMax: port.lanes,
  };
}

async function maximumOf(box: Box, address: string) {
  return {
    speed: parseLinkSpeed(await file(box, address, 'max_link_speed')),
    lanes: parseLinkWidth(await file(box, address, 'max_link_width')),
  };
}

/** The PCI function whose folder holds this one's; none for what sits on the root itself. */
export async function portAbove(box: Box, address: string): Promise<string | null> {
  const realPath = await realPathOrNull(box, `${pciDevices}/${address}`);
  return realPath === null ? null : (parseDevicePath(realPath).pciAddresses.at(-2) ?? null);
}

function file(box: Box, address: string, name: string): Promise<string | null> {
  return textOrNull(box, `${pciDevices}/${address}/${name}`);
}
