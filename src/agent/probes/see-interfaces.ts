import type { Box } from '../box/box.js';
import { parseDevicePath } from './parse-device-path.js';
import { namesIn, numberOrNull, realPathOrNull, textOrNull } from './read-kernel.js';

/** A network interface with a device behind it; bridges, tunnels and loopback have none. */
export interface NetworkInterface {
  /** Valid for this boot. */
  readonly name: string;
  readonly hardwareAddress: string;
  readonly pciAddress: string | null;
  readonly throughUsb: boolean;
  readonly virtual: boolean;
  /** Which plug of the device, counted from 1. */
  readonly plug: number;
}

export async function seeInterfaces(box: Box): Promise<readonly NetworkInterface[]> {
  const found: NetworkInterface[] = [];
  for (const name of await namesIn(box, '/sys/class/net')) {
    const folder = `/sys/class/net/${name}`;
    const device = await realPathOrNull(box, `${folder}/device`);
    if (device === null) continue;
    const place = parseDevicePath(device);
    const throughUsb = place.usbPort !== null;
    found.push({
      name,
      hardwareAddress: (await textOrNull(box, `${folder}/address`)) ?? '',
      pciAddress: throughUsb ? null : (place.pciAddresses.at(-1) ?? null),
      throughUsb,
      virtual: place.virtualBy !== null,
      plug: ((await numberOrNull(box, `${folder}/dev_port`)) ?? 0) + 1,
    });
  }
  return found;
}
