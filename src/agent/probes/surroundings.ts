import type { DriveSeen, Inventory, PartReadings } from '../../checks/part.js';
import type { Box } from '../box/box.js';
import { readArrays } from './arrays.js';
import { readLoad } from './box-load.js';
import { readKernelStates } from './kernel-drive-state.js';
import { readLinks } from './links.js';
import { readMemory } from './memory.js';
import { readNetwork } from './network.js';
import { readPciErrors } from './pci-errors.js';
import { readSasPhys } from './sas-phys.js';
import { readSensors } from './sensors.js';
import { readTimeLimits } from './time-limits.js';

/** Everything that the kernel's own files tell of the parts; touches no medium. */
export async function readSurroundings(
  box: Box,
  inventory: Inventory,
  options: { readonly mayAsk: (drive: DriveSeen) => Promise<boolean> },
): Promise<readonly PartReadings[]> {
  return [
    ...(await readSensors(box, inventory, options)),
    ...(await readLinks(box, inventory)),
    ...(await readNetwork(box, inventory)),
    ...(await readArrays(box, inventory)),
    ...(await readPciErrors(box, inventory)),
    ...(await readSasPhys(box, inventory)),
    ...(await readMemory(box, inventory)),
    ...(await readTimeLimits(box, inventory)),
    ...(await readKernelStates(box, inventory)),
    { identityKey: 'box', readings: await readLoad(box) },
  ];
}
