import type { Inventory, PartReadings } from '../../checks/part.js';
import type { Box } from '../box/box.js';
import { pciLinkReadings } from './pci-link-readings.js';
import { readPciLink } from './pci-links.js';
import { readSataLinks } from './sata-links.js';

/**
 * PCI links of cards and of drives that are PCI functions themselves, then SATA links of drives.
 */
export async function readLinks(box: Box, inventory: Inventory): Promise<readonly PartReadings[]> {
  const parts: PartReadings[] = [];
  for (const { identityKey, pciAddress, virtual } of inventory.controllers) {
    if (pciAddress === null) continue;
    const link = await readPciLink(box, pciAddress);
    parts.push({ identityKey, readings: pciLinkReadings(link, { virtual: virtual === true }) });
  }
  for (const { identityKey, pciAddress, reachedBy } of inventory.drives) {
    if (pciAddress === undefined || pciAddress === null) continue;
    const link = await readPciLink(box, pciAddress);
    parts.push({
      identityKey,
      readings: pciLinkReadings(link, { virtual: reachedBy === 'virtual' }),
    });
  }
  return [...parts, ...(await readSataLinks(box, inventory))];
}
