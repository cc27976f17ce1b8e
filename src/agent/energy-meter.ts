import type { PartReadings } from '../checks/part.js';
import type { Box } from './box/box.js';
import { type EnergyZone, powerReadings, readEnergy } from './probes/box-power.js';

/** Power of the processor between one look and the next; the first look has none. */
export class EnergyMeter {
  #before: { readonly zones: readonly EnergyZone[]; readonly monoMs: number } | null = null;

  async read(box: Box, monoMs: number): Promise<readonly PartReadings[]> {
    const zones = await readEnergy(box);
    const before = this.#before;
    this.#before = { zones, monoMs };
    if (before === null || zones.length === 0) return [];
    const seconds = (monoMs - before.monoMs) / 1000;
    return [{ identityKey: 'box', readings: powerReadings(before.zones, zones, seconds) }];
  }
}
