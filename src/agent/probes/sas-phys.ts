import type { Inventory, PartReadings } from '../../checks/part.js';
import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';
import type { Box } from '../box/box.js';
import { namesIn, numberOrNull, textOrNull } from './read-kernel.js';

const counters = [
  ['sas-invalid-words', 'invalid_dword_count'],
  ['sas-disparity-errors', 'running_disparity_error_count'],
  ['sas-sync-losses', 'loss_of_dword_sync_count'],
  ['sas-reset-problems', 'phy_reset_problem_count'],
] as const;

/**
 * Rate and error counters of each phy of a SAS host adapter, at the adapter's end of the cable.
 * Source: Linux drivers/scsi/scsi_transport_sas.c.
 */
export async function readSasPhys(
  box: Box,
  { controllers }: Pick<Inventory, 'controllers'>,
): Promise<readonly PartReadings[]> {
  const parts: PartReadings[] = [];
  for (const { identityKey, pciAddress } of controllers) {
    if (pciAddress === null) continue;
    const readings = await physOf(box, `/sys/bus/pci/devices/${pciAddress}`);
    if (readings.length > 0) parts.push({ identityKey, readings });
  }
  return parts;
}

async function physOf(box: Box, folder: string): Promise<readonly Reading[]> {
  const readings: Reading[] = [];
  for (const host of await namesIn(box, folder)) {
    if (!/^host\d+$/.test(host)) continue;
    for (const name of await namesIn(box, `${folder}/${host}`)) {
      if (/^phy-\d+:\d+$/.test(name)) readings.push(...(await readPhy(box, name)));
    }
  }
  return readings;
}

async function readPhy(box: Box, name: string): Promise<readonly Reading[]> {
  const folder = `/sys/class/sas_phy/${name}`;
  const place = `phy-${name.slice(name.indexOf(':') + 1)}`;
  const readings = [rateReading(place, await textOrNull(box, `${folder}/negotiated_linkrate`))];
  for (const [metric, file] of counters) {
    const count = await numberOrNull(box, `${folder}/${file}`);
    if (count === null || count < 0) continue;
    readings.push(measured({ metric, unit: 'count', place, source: `Kernel file ${file}` }, count));
  }
  return readings;
}

/** "12.0 Gbit", or words such as "Phy disabled", which are the reason why there is no rate. */
export function rateReading(place: string, text: string | null): Reading {
  const figure: Figure = {
    metric: 'sas-link-speed',
    unit: 'bits-per-second',
    place,
    source: 'Kernel file negotiated_linkrate',
  };
  const rate = /^(\d{1,2}(?:\.\d)?) Gbit$/.exec(text ?? '')?.[1];
  if (rate !== undefined) return measured(figure, Math.round(Number(rate) * 1e9));
  const words = (text ?? '').slice(0, 40);
  return absent(
    figure,
    'no-figure',
    words === '' ? 'The kernel tells no rate' : `The kernel says "${words}" instead of a rate`,
  );
}
