import type { Inventory, PartReadings } from '../../checks/part.js';
import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';
import type { Box } from '../box/box.js';
import { parsePciErrors } from './parse-pci-errors.js';
import { portAbove } from './pci-links.js';
import { textOrNull } from './read-kernel.js';

/** Files of the error counters of one PCI function, null where absent. */
export interface PciErrorFiles {
  readonly corrected: string | null;
  readonly notFatal: string | null;
  readonly fatal: string | null;
}

/**
 * Errors on the links of cards, and of drives that are PCI functions themselves, counted since
 * boot. The port above counts too: an error is counted by the end that notices it.
 */
export async function readPciErrors(
  box: Box,
  { controllers, drives }: Pick<Inventory, 'controllers' | 'drives'>,
): Promise<readonly PartReadings[]> {
  const parts: PartReadings[] = [];
  const cards = controllers.filter((one) => one.virtual !== true);
  const own = drives.filter(({ reachedBy }) => reachedBy !== 'virtual');
  for (const { identityKey, pciAddress } of [...cards, ...own]) {
    if (pciAddress === null || pciAddress === undefined) continue;
    const above = await portAbove(box, pciAddress);
    const port = above === null ? null : await filesOf(box, above);
    const readings = pciErrorReadings(await filesOf(box, pciAddress), port);
    parts.push({ identityKey, readings });
  }
  return parts;
}

async function filesOf(box: Box, address: string): Promise<PciErrorFiles> {
  const file = (name: string) => textOrNull(box, `/sys/bus/pci/devices/${address}/${name}`);
  return {
    corrected: await file('aer_dev_correctable'),
    notFatal: await file('aer_dev_nonfatal'),
    fatal: await file('aer_dev_fatal'),
  };
}

const kinds = [
  ['pci-errors-corrected', 'corrected', 'aer_dev_correctable'],
  ['pci-errors-not-fatal', 'notFatal', 'aer_dev_nonfatal'],
  ['pci-errors-fatal', 'fatal', 'aer_dev_fatal'],
] as const;

/** The sum of each kind, and each error that happened under its own place. Pure. */
export function pciErrorReadings(
  own: PciErrorFiles,
  port: PciErrorFiles | null,
): readonly Reading[] {
  return kinds.flatMap(([metric, key, file]) => {
    const figure: Figure = { metric, unit: 'count', source: `Kernel file ${file}` };
    const above = port === null ? [] : endReadings(figure, port[key], 'port above');
    const here = endReadings(figure, own[key], null);
    return [...(here.length > 0 ? here : [absent(figure, 'no-figure', absentWhy)]), ...above];
  });
}

const absentWhy =
  'The kernel does not count errors of this link: the device cannot report them, or the firmware keeps the reports';

function endReadings(figure: Figure, text: string | null, end: string | null): readonly Reading[] {
  const counts = parsePciErrors(text);
  if (counts === null) return [];
  const placed = (place: string | null): Figure => (place === null ? figure : { ...figure, place });
  const happened = counts.byName.filter(({ count }) => count > 0);
  return [
    measured(placed(end), counts.total),
    ...happened.map(({ name, count }) =>
      measured(placed(end === null ? name : `${end}: ${name}`), count),
    ),
  ];
}
