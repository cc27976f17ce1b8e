import type { ControllerSeen, Inventory, PartReadings } from '../../checks/part.js';
import type { Box } from '../box/box.js';
import { type NetworkFiles, networkReadings } from './network-readings.js';
import { textOrNull } from './read-kernel.js';

/** Rate and counters of each network card that has an interface. */
export async function readNetwork(
  box: Box,
  inventory: Inventory,
): Promise<readonly PartReadings[]> {
  const parts: PartReadings[] = [];
  for (const card of inventory.controllers) {
    if (card.kind !== 'network-card') continue;
    const files = card.interfaceName === undefined ? null : await filesOf(box, card.interfaceName);
    parts.push({
      identityKey: card.identityKey,
      readings: networkReadings(files, { virtual: isVirtual(card) }),
    });
  }
  return parts;
}

function isVirtual(card: ControllerSeen): boolean {
  return card.virtual === true;
}

async function filesOf(box: Box, name: string): Promise<NetworkFiles> {
  const file = (path: string) => textOrNull(box, `/sys/class/net/${name}/${path}`);
  return {
    speed: await file('speed'),
    duplex: await file('duplex'),
    carrier: await file('carrier'),
    operstate: await file('operstate'),
    receiveErrors: await file('statistics/rx_errors'),
    checksumErrors: await file('statistics/rx_crc_errors'),
    carrierChanges: await file('carrier_changes'),
  };
}
