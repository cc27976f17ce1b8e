import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';
import type { Box } from '../box/box.js';
import { namesIn, numberOrNull, textOrNull } from './read-kernel.js';

const zonesFolder = '/sys/class/powercap';

/** The energy counter of one zone of the processor, in millionths of a joule. */
export interface EnergyZone {
  readonly zone: string;
  readonly name: string;
  /** Null when only root may read it. */
  readonly energy: number | null;
  /** The counter starts again at 0 after this. */
  readonly range: number | null;
}

/** Zones as in Linux Documentation/power/powercap/powercap.rst; sub-zones are parts of a zone. */
export async function readEnergy(box: Box): Promise<readonly EnergyZone[]> {
  const zones: EnergyZone[] = [];
  for (const zone of await namesIn(box, zonesFolder)) {
    if (!/^intel-rapl:\d+(:\d+)?$/.test(zone)) continue;
    const folder = `${zonesFolder}/${zone}`;
    zones.push({
      zone,
      name: (await textOrNull(box, `${folder}/name`)) ?? zone,
      energy: await numberOrNull(box, `${folder}/energy_uj`),
      range: await numberOrNull(box, `${folder}/max_energy_range_uj`),
    });
  }
  return zones;
}

/**
 * A counter that may have gone round more than once tells nothing. No processor of such a box draws
 * more than this for minutes (our choice), so a range that lasts for less than that is too short.
 */
const wattsMax = 250;

/**
 * Power between two looks, each zone by its own range. Only the processor is measured: drives,
 * cards and the loss of the power supply are outside of it. Pure.
 */
export function powerReadings(
  before: readonly EnergyZone[],
  after: readonly EnergyZone[],
  seconds: number,
): readonly Reading[] {
  return after.map((zone) => {
    const place = zoneWords(zone, after);
    const source = 'Kernel file energy_uj, difference of two looks';
    const figure: Figure = { metric: 'power-draw', unit: 'watts', place, source };
    const last = before.find((one) => one.zone === zone.zone) ?? null;
    const found = wattsBetween(last, zone, seconds);
    return typeof found === 'number'
      ? measured(figure, found)
      : absent(figure, 'no-figure', found.why);
  });
}

function wattsBetween(
  before: EnergyZone | null,
  { energy, range }: EnergyZone,
  seconds: number,
): number | { readonly why: string } {
  if (energy === null) return { why: 'The kernel does not let this process read the counter' };
  if (before === null || before.energy === null) return { why: 'Power takes two looks' };
  if (range === null || range <= 0 || energy > range || before.energy > range) {
    return { why: 'The kernel does not tell how far the counter counts' };
  }
  if (!(seconds > 0) || range / 1e6 / seconds < wattsMax) {
    return { why: 'The counter may have gone round more than once between two looks' };
  }
  const moved = energy - before.energy;
  return (moved < 0 ? moved + range : moved) / 1e6 / seconds;
}

/** Sub-zones are named after their zone: two processors have a "core" each. */
function zoneWords({ zone, name }: EnergyZone, all: readonly EnergyZone[]): string {
  const above = all.find((one) => one.zone === zone.slice(0, zone.lastIndexOf(':')));
  return above === undefined ? `processor, ${name}` : `processor, ${above.name}, ${name}`;
}
