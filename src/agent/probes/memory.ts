import type { Inventory, PartReadings } from '../../checks/part.js';
import { type Figure, measured, type Reading } from '../../checks/reading.js';
import type { Box } from '../box/box.js';
import { numberOrNull } from './read-kernel.js';

/**
 * Memory errors since the driver that counts them was loaded, with how long ago that was. A module
 * without a place where the kernel counts has no reading at all: that is no zero.
 * Files as in Linux Documentation/ABI/testing/sysfs-devices-edac.
 */
export async function readMemory(
  box: Box,
  { memory = [] }: Pick<Inventory, 'memory'>,
): Promise<readonly PartReadings[]> {
  const parts: PartReadings[] = [];
  for (const { identityKey, folder } of memory) {
    if (folder === null) continue;
    parts.push({ identityKey, readings: await readPlace(box, folder) });
  }
  return parts;
}

async function readPlace(box: Box, folder: string): Promise<readonly Reading[]> {
  const isController = /\/mc\d+$/.test(folder);
  const controller = isController ? folder : folder.slice(0, folder.lastIndexOf('/'));
  const [corrected, lost] = isController
    ? ['ce_noinfo_count', 'ue_noinfo_count']
    : ['dimm_ce_count', 'dimm_ue_count'];
  const rows: readonly (readonly [string, string, string])[] = [
    ['memory-errors-corrected-since-load', folder, corrected],
    ['memory-errors-uncorrectable-since-load', folder, lost],
    ['memory-counting-time', controller, 'seconds_since_reset'],
  ];
  const readings: Reading[] = [];
  for (const [metric, place, file] of rows) {
    const value = await numberOrNull(box, `${place}/${file}`);
    if (value === null || value < 0) continue;
    const unit = file === 'seconds_since_reset' ? 'seconds' : 'count';
    const figure: Figure = { metric, unit, source: `Kernel file ${file}` };
    readings.push(measured(figure, value));
  }
  return readings;
}
